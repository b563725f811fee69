import { median, robustSpread } from '../../numerics/quantile.ts';
import type { FleetColumns } from '../columns.ts';
import { type Comparable, eventValue } from './comparable.ts';
import { type Finding, isoDay, phaseNames, roughly } from './finding.ts';
import { growthEffect } from './growthEffect.ts';

/** Slips found: what to take off ln of each reading; 0 for most. */
export interface UnitSlips {
  readonly shift: Float64Array;
  /** Each segment's level (drift taken out) once its slips are set right; NaN without a reading. */
  readonly level: Float64Array;
  readonly findings: Finding[];
}

const ln10 = Math.log(10);
const thousand = 3 * ln10;
/** Powers of ten that people write by mistake, and how unlikely each is beforehand (−ln of its chance). */
const slips: readonly (readonly [power: number, cost: number])[] = [
  [0, 0],
  [3, 5],
  [-3, 5],
  [1, 6.5],
  [-1, 6.5],
  [2, 7.5],
  [-2, 7.5],
];
/** A wild value that no power of ten explains costs this much and no more. */
const wild = 10;
/** How far a segment's growth may differ from its family's, ln a year. */
const ownGrowth = 0.06;
/** A slip must explain the reading better than chance by this much. */
const margin = { 1: 3, 2: 3, 3: 2.5 } as const;
/** About its place after a factor of a thousand is set right. */
const nearThousand = 1.8;

/**
 * Readings written in the wrong unit: a factor of a thousand (mA for µA, V for kV) or another power of ten, in a whole
 * event or one phase. Each is held against the segment's own other events and phases; only a segment with one event
 * is held against its cohort alone.
 * A lone rise of ten or a hundred times at the end of a record may be the cable: it is not called a slip.
 */
export function findUnitSlips(fleet: FleetColumns, comparable: Comparable): UnitSlips {
  const { readings, segments } = fleet;
  const { events, y, drift, eventSpread } = comparable;
  const shift = new Float64Array(readings.count);
  const level = new Float64Array(segments.count).fill(Number.NaN);
  const wildReadings: WildReading[] = [];
  const contrastSpread = spreadOfContrasts(comparable, fleet);
  for (let s = 0; s < segments.count; s++) {
    const first = events.ofSegment[s]!;
    const last = events.ofSegment[s + 1]!;
    const own: number[] = [];
    const values: number[] = [];
    for (let e = first; e < last; e++) {
      const value = eventValue(events, y, e) - drift[segments.insulation[s]!]! * events.time[e]!;
      if (Number.isNaN(value)) continue;
      own.push(e);
      values.push(value);
    }
    if (own.length === 0) continue;
    const middle = median(values);
    const settled =
      values.every((v) => Math.abs(v - middle) < 1.2) && !(Math.abs(middle - comparable.cohortLevel[s]!) > 3.5);
    level[s] = settled ? middle : settle(own, values, comparable, s);
    const far = nearThousand + 2 * eventSpread;
    for (const e of own) {
      const expected = level[s]! + drift[segments.insulation[s]!]! * events.time[e]!;
      for (let r = events.start[e]!; r < events.start[e + 1]!; r++) {
        const away = y[r]! - expected;
        if (Math.abs(Math.abs(away) - thousand) < far) shift[r] = Math.sign(away) * thousand;
      }
    }
    const common = own.length > 1 ? commonShift(events.start[first]!, events.start[last]!, y, shift) : 0;
    if (common !== 0) {
      // All of a record off by the same is no slip of a reading: the segment's length is the one to look at.
      level[s]! += common;
      shift.fill(0, events.start[first]!, events.start[last]!);
    }
    if (!settled && own.length > 2) eventSlips(own, values, level[s]!, comparable, shift);
    const expected = (e: number): number => level[s]! + drift[segments.insulation[s]!]! * events.time[e]!;
    wildReadings.push(...phaseSlips(own, expected, comparable, fleet, contrastSpread, shift));
  }
  const findings = describe(fleet, comparable, shift);
  for (const reading of wildReadings) findings.push(describeWild(fleet, comparable, reading));
  return { shift, level, findings };
}

/** The shift that every exact reading of a stretch carries; 0 where they differ. */
function commonShift(from: number, to: number, y: Float64Array, shift: Float64Array): number {
  let common = 0;
  for (let r = from; r < to; r++) {
    if (Number.isNaN(y[r]!)) continue;
    if (shift[r] === 0 || (common !== 0 && shift[r] !== common)) return 0;
    common = shift[r]!;
  }
  return common;
}

/** The level that explains a segment's events best, each allowed a slip or to be wild, and not too far from its cohort. */
function settle(own: readonly number[], values: readonly number[], comparable: Comparable, s: number): number {
  const cohortSpread = Math.max(0.7, comparable.cohortSpread[s]!);
  let best = Number.POSITIVE_INFINITY;
  let level = values[0]!;
  for (let i = 0; i < own.length; i++) {
    for (const [power] of slips) {
      const at = values[i]! - power * ln10;
      const off = (at - comparable.cohortLevel[s]!) / cohortSpread;
      let cost = Number.isFinite(off) ? Math.min(12, 0.5 * off * off) : 0;
      for (let j = 0; j < own.length; j++) cost += explain(values[j]! - at, reachOf(own, j, comparable))[1];
      if (cost < best) [best, level] = [cost, at];
    }
  }
  return level;
}

/** What explains a distance best: the power of ten and its cost. */
function explain(away: number, spread: number): readonly [power: number, cost: number] {
  let power = 0;
  let least = Math.min(wild, 0.5 * (away / spread) ** 2);
  for (const [p, cost] of slips) {
    const total = cost + 0.5 * ((away - p * ln10) / spread) ** 2;
    if (total < least) [least, power] = [total, p];
  }
  return [power, least];
}

/** Spread of an event about the level: its own errors, and growth of its own since the middle of the record. */
function reachOf(own: readonly number[], j: number, { events, eventSpread }: Comparable): number {
  const middle = events.time[own[own.length >> 1]!]!;
  return Math.hypot(eventSpread, ownGrowth * (events.time[own[j]!]! - middle));
}

/** Whole events off by ten or a hundred. */
function eventSlips(
  own: readonly number[],
  values: readonly number[],
  level: number,
  comparable: Comparable,
  shift: Float64Array,
): void {
  const { events, y } = comparable;
  own.forEach((e, j) => {
    const spread = reachOf(own, j, comparable);
    const away = values[j]! - level;
    const [power, cost] = explain(away, spread);
    const size = Math.abs(power);
    if (size !== 1 && size !== 2) return;
    if (power > 0 && !returnsAfter(j, values, level, 0.5 * ln10)) return;
    if (Math.min(wild, 0.5 * (away / spread) ** 2) - cost < margin[size]) return;
    for (let r = events.start[e]!; r < events.start[e + 1]!; r++) {
      if (!Number.isNaN(y[r]!) && shift[r] === 0) shift[r] = power * ln10;
    }
  });
}

/** The event before and the one after it are both where they should be. */
const returnsAfter = (j: number, values: readonly number[], level: number, near: number): boolean =>
  j > 0 && j + 1 < values.length && Math.abs(values[j - 1]! - level) < near && Math.abs(values[j + 1]! - level) < near;

/** How far a phase stands from the middle of the others at its event; NaN where there are no others. */
function contrast(comparable: Comparable, e: number, phase: number, fleet: FleetColumns, shift: Float64Array): number {
  const { events, y } = comparable;
  const others: number[] = [];
  let own = Number.NaN;
  for (let r = events.start[e]!; r < events.start[e + 1]!; r++) {
    const value = y[r]! - shift[r]!;
    if (Number.isNaN(value)) continue;
    if (fleet.readings.phase[r] === phase) own = value;
    else others.push(value);
  }
  return others.length ? own - median(others) : Number.NaN;
}

function spreadOfContrasts(comparable: Comparable, fleet: FleetColumns): number {
  const { events } = comparable;
  const none = new Float64Array(fleet.readings.count);
  const off: number[] = [];
  const step = Math.max(1, Math.floor(fleet.segments.count / 2000));
  for (let s = 0; s < fleet.segments.count; s += step) {
    const values: number[] = [];
    for (let e = events.ofSegment[s]!; e < events.ofSegment[s + 1]!; e++) {
      const d = contrast(comparable, e, 0, fleet, none);
      if (!Number.isNaN(d)) values.push(d);
    }
    if (values.length < 3) continue;
    const middle = median(values);
    for (const d of values) off.push(d - middle);
  }
  return off.length > 20 ? Math.max(0.05, 1.2 * robustSpread(off, 0)) : 0.2;
}

/**
 * One phase off by ten or a hundred against the others of its day and against the segment's level, though on other
 * days it was not. Gives the readings that stand as far off and are no power of ten.
 */
function phaseSlips(
  own: readonly number[],
  expected: (e: number) => number,
  comparable: Comparable,
  fleet: FleetColumns,
  spread: number,
  shift: Float64Array,
): WildReading[] {
  const found: WildReading[] = [];
  if (own.length < 3) return found;
  const { events, y } = comparable;
  for (let phase = 0; phase < 3; phase++) {
    const d = own.map((e) => contrast(comparable, e, phase, fleet, shift));
    if (!d.some((value) => Math.abs(value) > 1.6)) continue;
    own.forEach((e, j) => {
      const rest = d.filter((value, i) => i !== j && !Number.isNaN(value));
      if (rest.length < 2 || Number.isNaN(d[j]!)) return;
      const usual = median(rest);
      const away = d[j]! - usual;
      let r = events.start[e]!;
      while (fleet.readings.phase[r] !== phase || Number.isNaN(y[r]!)) r++;
      // The others of the day may be the ones that are off: the segment's level must agree.
      const fromLevel = y[r]! - shift[r]! - usual - expected(e);
      if (shift[r] !== 0 || fromLevel * away < 0 || Math.abs(fromLevel) < 0.55 * Math.abs(away)) return;
      const power = Math.round(away / ln10);
      const near = Math.max(0.35, 3 * spread);
      const steady = !rest.some((value) => Math.abs(value - usual) > 0.5 * ln10);
      const slip = Math.abs(power) >= 1 && Math.abs(power) <= 2 && Math.abs(away - power * ln10) < near && steady;
      if (slip && (power < 0 || returnsAfter(j, d, usual, 2 * near))) shift[r] = power * ln10;
      else if (Math.abs(away) > ln10 && Math.abs(fromLevel) > 0.8 * ln10 && steady) {
        found.push({ reading: r, away, last: j === own.length - 1 });
      }
    });
  }
  return found;
}

/** A reading of one phase far from the others of its day and from its own other days. */
interface WildReading {
  readonly reading: number;
  /** In ln. */
  readonly away: number;
  /** No later test of the segment shows whether it has come back. */
  readonly last: boolean;
}

function describeWild({ readings }: FleetColumns, comparable: Comparable, wildReading: WildReading): Finding {
  const { reading: r, away, last } = wildReading;
  const phase = phaseNames[readings.phase[r]!];
  const times = `${roughly(Math.exp(Math.abs(away)))} times ${away > 0 ? 'above' : 'below'}`;
  return {
    kind: 'wild reading',
    certainty: last ? 'weak' : 'likely',
    segment: readings.segment[r]!,
    event: readings.event[r]!,
    instrument: readings.instrument[r]!,
    readings: [r],
    seen: [
      { name: `leakage, phase ${phase}`, value: readings.leakageUa[r]!, unit: 'µA' },
      { name: 'against the other phases and its own other tests', value: Math.exp(away), unit: '' },
    ],
    says: `Phase ${phase} of the test of ${isoDay(readings.day[r]!)} (${roughly(readings.leakageUa[r]!)} µA) stands ${times} where the other phases of that day and its own other tests put it${last ? '. No later test shows whether it has come back: it may be the cable' : ', and later tests do not'}.`,
    wouldChange: last
      ? 'Left out, the segment’s growth would not see it; a cable that is failing on one phase looks like this too.'
      : 'Left out, the segment’s growth would no longer bend towards it.',
    growth: growthEffect(comparable, readings.segment[r]!, new Map([[r, Number.NaN]])),
  };
}

function describe(fleet: FleetColumns, comparable: Comparable, shift: Float64Array): Finding[] {
  const { readings, segments } = fleet;
  const { events, y } = comparable;
  const findings: Finding[] = [];
  for (let e = 0; e < events.count; e++) {
    // Readings of one event that slipped alike are one finding.
    const bySize = new Map<number, number[]>();
    for (let r = events.start[e]!; r < events.start[e + 1]!; r++) {
      const power = Math.round(shift[r]! / ln10);
      if (power !== 0) bySize.set(power, [...(bySize.get(power) ?? []), r]);
    }
    for (const [power, slipped] of bySize) findings.push(slipFinding(e, power, slipped));
  }
  return findings;

  function slipFinding(e: number, power: number, slipped: number[]): Finding {
    const segment = events.segment[e]!;
    const r = slipped[0]!;
    const factor = 10 ** -power;
    const ratio = readings.voltageKv[r]! / segments.ratedKv[segment]!;
    // The cure for a voltage written in volts, or in megavolts, is in the voltage.
    const voltage = (power < 0 && ratio > 10) || (power > 0 && ratio < 0.1);
    const all = slipped.length === events.start[e + 1]! - events.start[e]!;
    const phases = slipped.map((i) => phaseNames[readings.phase[i]!]).join(', ');
    const which = all ? 'All phases' : `Phase ${phases}`;
    const times = power > 0 ? `${10 ** power} times too high` : `${10 ** -power} times too low`;
    const quantity = voltage
      ? `test voltage (${roughly(readings.voltageKv[r]!)} kV)`
      : `leakage (${slipped.map((i) => roughly(readings.leakageUa[i]!)).join(', ')} µA)`;
    const growth = growthEffect(comparable, segment, new Map(slipped.map((i) => [i, shift[i]!])));
    return {
      kind: 'unit slip',
      certainty: Math.abs(power) === 3 ? 'likely' : 'weak',
      segment,
      event: readings.event[r]!,
      instrument: readings.instrument[r]!,
      readings: slipped,
      seen: [
        ...slipped.map((i) => ({
          name: `leakage, phase ${phaseNames[readings.phase[i]!]}`,
          value: readings.leakageUa[i]!,
          unit: 'µA',
        })),
        { name: 'test voltage', value: readings.voltageKv[r]!, unit: 'kV' },
        { name: 'specific leakage at 20 °C', value: Math.exp(y[r]!), unit: 'nS/km' },
        { name: 'the same, set right', value: Math.exp(y[r]! - shift[r]!), unit: 'nS/km' },
      ],
      says: `${which} of the test of ${isoDay(events.day[e]!)}: against the segment’s other readings the specific leakage is ${times}, as if ${Math.abs(power) === 3 ? `the ${quantity} were in another unit` : `a decimal point of the ${quantity} had slipped`}.`,
      wouldChange: `Times ${roughly(factor)}, the ${slipped.length === 1 ? 'reading joins' : 'readings join'} the rest of the segment’s record.`,
      leakageFactor: factor,
      growth,
    };
  }
}
