import type { ShownTrace } from '../../../core/contract/shapes/records.ts';
import { asSet } from '../../words/numbers.ts';
import { type Quantity, quantityWords } from '../../words/trace.ts';
import { quantityAxis, type TimeAxis, tracePath } from './traceScale.ts';

interface Props {
  readonly what: Quantity;
  readonly traces: readonly ShownTrace[];
  /** The test whose phases are marked; the others are drawn dashed. */
  readonly mainId: string;
  readonly along: TimeAxis;
  readonly log: boolean;
  readonly width: number;
  readonly height: number;
  readonly cursorS: number | null;
  readonly last: boolean;
}

export const plotLeft = 64;
export const plotRight = 74;

/** One quantity against time. */
export function TracePanel({ what, traces, mainId, along, log, width, height, cursorS, last }: Props) {
  const top = 20;
  const bottom = last ? 22 : 6;
  const level = quantityAxis(traces, what, log);
  const flat = (value: number) => (log ? Math.log10(value) : value);
  const [yMin, yMax] = [flat(level.min), flat(level.max)];
  const x = (seconds: number) =>
    plotLeft + ((seconds - along.min) / (along.max - along.min)) * (width - plotLeft - plotRight);
  const y = (value: number) => top + (1 - (flat(value) - yMin) / (yMax - yMin || 1)) * (height - top - bottom);
  const main = traces.find((trace) => trace.testId === mainId);
  const unit = along.inMinutes ? 60 : 1;
  return (
    <svg width={width} height={height} className="trace-panel" aria-hidden="true">
      <text x={0} y={12} className="trace-title">
        {quantityWords[what]}
      </text>
      {main?.parts.map((part) => (
        <g key={`${part.name} ${part.fromS}`}>
          <line x1={x(part.fromS)} x2={x(part.fromS)} y1={top} y2={height - bottom} className="trace-part" />
          {what === 'voltage' && x(part.toS) - x(part.fromS) > 34 && (
            <text x={(x(part.fromS) + x(part.toS)) / 2} y={12} className="trace-part-name">
              {part.name}
            </text>
          )}
        </g>
      ))}
      {level.ticks.map((tick) => (
        <g key={tick}>
          <line x1={plotLeft} x2={width - plotRight} y1={y(tick)} y2={y(tick)} className="trace-rule" />
          <text x={plotLeft - 8} y={y(tick) + 4} className="trace-tick end">
            {asSet(tick)}
          </text>
        </g>
      ))}
      {traces.map((trace) => (
        <path
          key={`${trace.testId} ${trace.phase} ${trace.file}`}
          d={tracePath(trace, what, x, y, log ? level.min : Number.NEGATIVE_INFINITY)}
          className={`trace-line phase-${trace.phase.toLowerCase()}${trace.testId === mainId ? '' : ' beside'}`}
        />
      ))}
      {traces.flatMap((trace) =>
        trace.breakdownAtS === null
          ? []
          : [
              <g key={`${trace.testId} ${trace.phase} breakdown`}>
                <line
                  x1={x(trace.breakdownAtS)}
                  x2={x(trace.breakdownAtS)}
                  y1={top}
                  y2={height - bottom}
                  className="trace-breakdown"
                />
                {what === 'voltage' && (
                  <text x={x(trace.breakdownAtS) + 4} y={top + 10} className="trace-breakdown-name">
                    breakdown {trace.phase}
                  </text>
                )}
              </g>,
            ],
      )}
      {cursorS !== null && (
        <line x1={x(cursorS)} x2={x(cursorS)} y1={top} y2={height - bottom} className="trace-cursor" />
      )}
      {last &&
        along.ticks.map((tick) => (
          <text key={tick} x={x(tick)} y={height - 6} className="trace-tick middle">
            {asSet(tick / unit)}
          </text>
        ))}
      {last && (
        <text x={width - plotRight + 10} y={height - 6} className="trace-tick">
          {along.inMinutes ? 'min' : 's'}
        </text>
      )}
    </svg>
  );
}
