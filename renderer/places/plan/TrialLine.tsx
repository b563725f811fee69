import { useEffect, useRef } from 'react';
import { priceWords, wishWords } from '../../words/plan.ts';
import type { Trial } from './usePlan.ts';

interface Props {
  readonly trial: Trial;
  readonly nameOf: (segment: string) => string;
  readonly onKeep: () => void;
  readonly onDrop: () => void;
}

/** A move that was tried, with its price, before it is kept. */
export function TrialLine({ trial, nameOf, onKeep, onDrop }: Props) {
  const { after } = trial.priced;
  const line = useRef<HTMLDivElement>(null);
  useEffect(() => {
    line.current?.scrollIntoView({ block: 'nearest' });
  }, []);
  return (
    <div ref={line} className="trial" role="status">
      <p>
        <span className="strong">{wishWords(trial.wish, nameOf)}.</span>{' '}
        {after.status === 'infeasible' ? after.says : priceWords(trial.priced)}
      </p>
      <p className="actions">
        {after.status !== 'infeasible' && (
          <button type="button" className="button first" onClick={onKeep}>
            Move it
          </button>
        )}
        <button type="button" className="button" onClick={onDrop}>
          Leave it where it is
        </button>
      </p>
    </div>
  );
}
