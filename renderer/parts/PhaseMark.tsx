import type { Phase } from '../../core/contract/shapes/trade.ts';
import './phase.css';

/** The sign of a phase: A filled circle, B filled triangle, C open square. Not a local phase code. */
export function PhaseMark({ phase }: { readonly phase: Phase }) {
  return (
    <svg className="phase-mark" width="12" height="12" viewBox="0 0 12 12" aria-hidden="true" focusable="false">
      {phase === 'A' && <circle cx="6" cy="6" r="4" fill="var(--phase-a)" />}
      {phase === 'B' && <path d="M6 1.5l5 8.5h-10z" fill="var(--phase-b)" />}
      {phase === 'C' && (
        <rect x="2.4" y="2.4" width="7.2" height="7.2" fill="none" stroke="var(--phase-c)" strokeWidth="1.8" />
      )}
    </svg>
  );
}
