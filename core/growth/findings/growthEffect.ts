import { type Comparable, eventValue } from './comparable.ts';
import { type GrowthEffect, noGrowthEffect, percentPerYear } from './finding.ts';

/**
 * Growth of a segment by a straight line through its events, as recorded and with some readings changed:
 * `change` gives what to take off ln of a reading, by its ordinal; NaN leaves the reading out.
 */
export function growthEffect(
  comparable: Comparable,
  segment: number,
  change: ReadonlyMap<number, number>,
): GrowthEffect {
  const now = slope(comparable, segment);
  const then = slope(comparable, segment, change);
  if (now === undefined || then === undefined)
    return noGrowthEffect('too few tests of the segment for a growth of its own');
  return { known: true, nowPercentPerYear: percentPerYear(now), thenPercentPerYear: percentPerYear(then) };
}

function slope({ events, y }: Comparable, segment: number, change?: ReadonlyMap<number, number>): number | undefined {
  let n = 0;
  let t = 0;
  let v = 0;
  let tt = 0;
  let tv = 0;
  for (let e = events.ofSegment[segment]!; e < events.ofSegment[segment + 1]!; e++) {
    const start = events.start[e]!;
    const changed = y.slice(start, events.start[e + 1]!);
    for (const [r, shift] of change ?? []) if (r >= start && r < start + changed.length) changed[r - start]! -= shift;
    const value = eventValue({ ...events, start: Int32Array.of(0, changed.length) }, changed, 0);
    if (Number.isNaN(value)) continue;
    const time = events.time[e]!;
    n++;
    t += time;
    v += value;
    tt += time * time;
    tv += time * value;
  }
  const spread = tt - (t * t) / n;
  return n >= 2 && spread > 1e-6 ? (tv - (t * v) / n) / spread : undefined;
}
