import { median, robustSpread } from '../../numerics/quantile.ts';
import type { FleetColumns } from '../columns.ts';
import { type Comparable, eventValue } from './comparable.ts';
import { type Finding, isoDay, noGrowthEffect, roughly } from './finding.ts';

const monthDays = 30.4375;
/** A stretch counts when its events stand so many standard errors out of line, all possible stretches considered. */
const surely = 6.5;
/** Less than 12 % is within what good instruments differ by. */
const smallest = Math.log(1.12);
const fewestEvents = 8;
const mostFindings = 12;
/** A month's middle over all other instruments is believed in full only with many events. */
const halfBelieved = 5;

interface Month {
  readonly instrument: number;
  readonly month: number;
  readonly events: number[];
}

/**
 * Stretches of months in which one instrument read high or low: its events stand out of line with what the same
 * segments show on other days and with what other instruments read in the same months. A step that never ends is a
 * stretch to the end. `shift` are unit slips, taken off first. Years with one instrument alone cannot be told from
 * seasons that spoil everything, so there the finding is weak.
 */
export function findInstrumentShifts(fleet: FleetColumns, comparable: Comparable, shift: Float64Array): Finding[] {
  const findings: Finding[] = [];
  const { events } = comparable;
  const values = Float64Array.from({ length: events.count }, (_, e) => eventValue(events, comparable.y, e, shift));
  const months = gatherMonths(fleet, comparable);
  if (months.length === 0) return findings;
  // Each stretch found is taken off before the next is looked for: it spoils its segments' other comparisons.
  while (findings.length < mostFindings) {
    const residual = residuals(fleet, comparable, values);
    const worst = worstStretch(months, residual, comparable.eventSpread);
    if (!worst) break;
    for (const e of worst.events) values[e]! -= worst.size;
    findings.push(describe(worst));
  }
  return findings;

  function describe({ events: stretch, size, error, alone, instrument, whole }: Stretch): Finding {
    const from = Math.min(...stretch.map((e) => events.day[e]!));
    const to = Math.max(...stretch.map((e) => events.day[e]!));
    const segments = new Set(stretch.map((e) => events.segment[e]!)).size;
    const percent = 100 * Math.expm1(size);
    return {
      kind: 'instrument shift',
      certainty: alone ? 'weak' : 'likely',
      segment: -1,
      event: -1,
      instrument,
      readings: stretch.flatMap((e) =>
        Array.from({ length: events.start[e + 1]! - events.start[e]! }, (_, i) => events.start[e]! + i),
      ),
      seen: [
        { name: 'reads', value: percent, unit: '%' },
        { name: 'standard error of ln', value: error, unit: '' },
        { name: 'tests', value: stretch.length, unit: '' },
        { name: 'segments', value: segments, unit: '' },
        { name: 'first day', value: from, unit: 'days since 1970-01-01' },
        { name: 'last day', value: to, unit: 'days since 1970-01-01' },
      ],
      says: `From ${isoDay(from)} to ${isoDay(to)}${whole ? ', all its record,' : ''} this instrument read ${roughly(Math.abs(percent))} % ${size > 0 ? 'high' : 'low'}: ${stretch.length} tests of ${segments} segments, all against the segments’ own other tests${alone ? '. No other instrument was at work then, so a common cause such as the weather cannot be ruled out' : ' and against the other instruments of those months'}.`,
      wouldChange: `Taken off, ${segments} segments lose a ${size > 0 ? 'rise' : 'fall'} that is not theirs.`,
      leakageFactor: Math.exp(-size),
      growth: noGrowthEffect('it concerns many segments at once'),
    };
  }
}

function gatherMonths({ readings }: FleetColumns, { events }: Comparable): Month[] {
  const months = new Map<string, Month>();
  for (let e = 0; e < events.count; e++) {
    const instrument = readings.instrument[events.start[e]!]!;
    if (instrument < 0) continue;
    const month = Math.floor(events.day[e]! / monthDays);
    const key = `${instrument} ${month}`;
    const kept = months.get(key);
    if (kept) kept.events.push(e);
    else months.set(key, { instrument, month, events: [e] });
  }
  return [...months.values()].sort((a, b) => a.instrument - b.instrument || a.month - b.month);
}

/** Each event against the middle of what its segment's other events say of that day; NaN under two others. */
function residuals({ segments }: FleetColumns, { events, drift }: Comparable, values: Float64Array): Float64Array {
  const residual = new Float64Array(events.count).fill(Number.NaN);
  for (let s = 0; s < segments.count; s++) {
    const b = drift[segments.insulation[s]!]!;
    const own: number[] = [];
    const level: number[] = [];
    for (let e = events.ofSegment[s]!; e < events.ofSegment[s + 1]!; e++) {
      if (Number.isNaN(values[e]!)) continue;
      own.push(e);
      level.push(values[e]! - b * events.time[e]!);
    }
    if (own.length < 3) continue;
    for (let i = 0; i < own.length; i++) {
      const others = level.filter((_, j) => j !== i);
      residual[own[i]!] = level[i]! - median(others);
    }
  }
  return residual;
}

interface Stretch {
  readonly instrument: number;
  readonly events: number[];
  readonly size: number;
  readonly error: number;
  /** No other instrument was at work in most of those months. */
  readonly alone: boolean;
  readonly whole: boolean;
}

interface Bin {
  readonly month: Month;
  readonly middle: number;
  readonly known: number;
  readonly others: number;
}

function worstStretch(months: readonly Month[], residual: Float64Array, eventSpread: number): Stretch | undefined {
  const byMonth = new Map<number, Month[]>();
  for (const month of months) byMonth.set(month.month, [...(byMonth.get(month.month) ?? []), month]);
  const known = (month: Month): number[] => month.events.map((e) => residual[e]!).filter((x) => !Number.isNaN(x));
  const bins: Bin[] = months.flatMap((month) => {
    const own = known(month);
    if (own.length === 0) return [];
    const others = byMonth.get(month.month)!.flatMap((other) => (other === month ? [] : known(other)));
    const common = others.length === 0 ? 0 : (median(others) * others.length) / (others.length + halfBelieved);
    return [{ month, middle: median(own) - common, known: own.length, others: others.length }];
  });
  if (bins.length < 6) return undefined;
  // What months scatter beyond their events' own errors: days and weather that a crew's tests share.
  const scatter = robustSpread(
    bins.map((bin) => bin.middle * Math.sqrt(bin.known)),
    0,
  );
  const own = Math.max(1.25 * eventSpread, scatter);
  const shared = Math.max(
    0,
    robustSpread(
      bins.map((bin) => bin.middle),
      0,
    ) **
      2 -
      own ** 2 * median(bins.map((bin) => 1 / bin.known)),
  );
  const weight = bins.map(
    (bin) => 1 / (shared + own ** 2 / bin.known + own ** 2 / Math.max(1, bin.others + halfBelieved)),
  );

  let best = surely;
  let found: readonly [from: number, to: number] | undefined;
  for (let i = 0; i < bins.length; i++) {
    let w = 0;
    let wm = 0;
    let count = 0;
    for (let j = i; j < bins.length && bins[j]!.month.instrument === bins[i]!.month.instrument; j++) {
      w += weight[j]!;
      wm += weight[j]! * bins[j]!.middle;
      count += bins[j]!.known;
      const z = Math.abs(wm) / Math.sqrt(w);
      if (z > best && count >= fewestEvents && Math.abs(wm / w) > smallest) [best, found] = [z, [i, j]];
    }
  }
  if (!found) return undefined;
  const stretch = bins.slice(found[0], found[1] + 1);
  const w = weight.slice(found[0], found[1] + 1);
  const total = w.reduce((sum, x) => sum + x, 0);
  const instrument = stretch[0]!.month.instrument;
  return {
    instrument,
    events: stretch.flatMap((bin) => bin.month.events),
    size: stretch.reduce((sum, bin, k) => sum + w[k]! * bin.middle, 0) / total,
    error: 1 / Math.sqrt(total),
    alone: 2 * stretch.filter((bin) => bin.others >= 3).length < stretch.length,
    whole: stretch.length === bins.filter((bin) => bin.month.instrument === instrument).length,
  };
}
