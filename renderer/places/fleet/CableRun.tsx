import type { SegmentPage } from '../../../core/contract/asks/segment.ts';
import { useWidth } from '../../parts/useWidth.ts';
import { inWords } from '../../words/labels.ts';
import { lengthUnit, lengthWords, position } from '../../words/units.ts';
import { useUnits } from '../settings.ts';

/** What a cable's drawing needs of it. */
export interface CableDrawn extends Pick<SegmentPage, 'lengthM' | 'fromPoint' | 'toPoint'> {
  readonly splices: readonly Pick<SegmentPage['splices'][number], 'ownerId' | 'positionM' | 'kind' | 'removedOn'>[];
  readonly terminations: readonly Pick<SegmentPage['terminations'][number], 'end' | 'kind' | 'removedOn'>[];
}

/** The cable from end to end, its splices in order along the length. */
export function CableRun({ page }: { readonly page: CableDrawn }) {
  const units = useUnits();
  const [host, width] = useWidth<HTMLDivElement>(740, 'page');
  const placed = page.splices
    .filter((splice) => splice.positionM !== null && splice.positionM <= page.lengthM)
    .sort((a, b) => a.positionM! - b.positionM!);
  const terminations = page.terminations.filter((t) => t.removedOn === null);
  if (page.splices.length === 0 && terminations.length === 0) return null;
  const pad = 8;
  const x = (metres: number): number => pad + (metres / page.lengthM) * (width - 2 * pad);
  const label = `${placed.length} splices along ${lengthWords(page.lengthM, units)}: ${placed.map((s) => `${position(s.positionM!, units)} ${lengthUnit(units)} ${s.kind === null ? '' : inWords(s.kind)}`).join(', ')}`;
  const endWords = (end: 'from' | 'to'): string => {
    const kinds = [...new Set(terminations.filter((t) => t.end === end).map((t) => inWords(t.kind ?? 'termination')))];
    const point = end === 'from' ? page.fromPoint : page.toPoint;
    return [point, ...kinds].filter((word) => word !== null && word !== '').join(', ');
  };
  let lastLabel = Number.NEGATIVE_INFINITY;
  return (
    <section aria-label="Along the cable" className="run">
      <div className="section-head">
        <p className="caption">Along the cable. Hollow: splice; pale: taken out since.</p>
      </div>
      <div ref={host}>
        <svg height="56" width={width} role="img" aria-label={label}>
          <line className="run-line" x1={pad} x2={width - pad} y1="14" y2="14" />
          <rect className="run-end" x={pad - 4} y="7" width="4" height="14" />
          <rect className="run-end" x={width - pad} y="7" width="4" height="14" />
          {placed.map((splice) => {
            const at = x(splice.positionM!);
            const named = at - lastLabel > 46 && at > 60 && at < width - 60;
            if (named) lastLabel = at;
            return (
              <g key={splice.ownerId}>
                <circle
                  className={splice.removedOn === null ? 'run-splice' : 'run-splice gone'}
                  cx={at}
                  cy="14"
                  r="4.5"
                />
                {named && (
                  <text x={at} y="35" textAnchor="middle">
                    {position(splice.positionM!, units)}
                  </text>
                )}
              </g>
            );
          })}
          <text x={pad - 4} y="35">
            0
          </text>
          <text x={width - pad + 4} y="35" textAnchor="end">
            {lengthWords(page.lengthM, units)}
          </text>
          <text x={pad - 4} y="52">
            {endWords('from')}
          </text>
          <text x={width - pad + 4} y="52" textAnchor="end">
            {endWords('to')}
          </text>
        </svg>
      </div>
    </section>
  );
}
