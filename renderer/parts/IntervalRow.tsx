import { memo } from 'react';
import type { Interval90 } from '../../core/contract/shapes/known.ts';
import { fixed } from '../words/numbers.ts';
import './interval.css';

interface Props {
  readonly interval: Interval90;
  readonly scale: { readonly lo: number; readonly hi: number };
  readonly width: number;
  readonly height?: number;
}

/** An estimate as dot and line on a scale common to all rows. Hollow: the 90 % interval includes no growth. */
export const IntervalRow = memo(function IntervalRow({ interval, scale, width, height = 32 }: Props) {
  const pad = 7;
  const x = (value: number): number =>
    pad + ((Math.max(scale.lo, Math.min(scale.hi, value)) - scale.lo) / (scale.hi - scale.lo)) * (width - 2 * pad);
  const middle = height / 2;
  const sure = interval.lo > 0 || interval.hi < 0;
  const ink = Math.max(0.45, Math.min(1, 8 / Math.max(0.1, interval.hi - interval.lo)));
  const dot = sure ? 'interval-dot' : 'interval-dot hollow';
  const label = `${fixed(interval.value, 1)} % a year, 90 % interval ${fixed(interval.lo, 1)} to ${fixed(interval.hi, 1)}${sure ? '' : ', includes no growth'}`;
  return (
    <svg className="interval" width={width} height={height} role="img" aria-label={label}>
      <line className="interval-zero" x1={x(0)} x2={x(0)} y1={0} y2={height} />
      <line
        className="interval-line"
        x1={x(interval.lo)}
        x2={x(interval.hi)}
        y1={middle}
        y2={middle}
        strokeOpacity={ink}
      />
      {interval.lo < scale.lo && interval.value >= scale.lo && (
        <path className="interval-more" d={`M${pad - 1} ${middle}l5 -4v8z`} fillOpacity={ink} />
      )}
      {interval.hi > scale.hi && interval.value <= scale.hi && (
        <path className="interval-more" d={`M${width - pad + 1} ${middle}l-5 -4v8z`} fillOpacity={ink} />
      )}
      {interval.value > scale.hi || interval.value < scale.lo ? (
        <path
          className={dot}
          d={
            interval.value > scale.hi
              ? `M${width - pad - 6} ${middle - 5}l9 5l-9 5z`
              : `M${pad + 6} ${middle - 5}l-9 5l9 5z`
          }
        />
      ) : (
        <circle className={dot} cx={x(interval.value)} cy={middle} r={4.5} />
      )}
    </svg>
  );
});
