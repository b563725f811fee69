import type { SeededRandom } from '../numerics/random.ts';
import type { DemoSegment } from './network.ts';
import { yearOf } from './rows.ts';
import { families, field, yearsBack } from './tables.ts';

/** Something that changed the level at once and the growth from then on. */
interface Turn {
  readonly year: number;
  readonly step: number;
  readonly growth: number;
}

/** How a segment's insulation truly fares: ln of its specific leakage (nS/km, 20 °C), phase by phase, year by year. */
export class Condition {
  readonly segment: DemoSegment;
  readonly #anchorYear: number;
  readonly #anchor: number;
  readonly #growth: number;
  readonly #offsets: readonly number[];
  readonly #turns: Turn[] = [];
  #fast: {
    readonly from: number;
    readonly growth: number;
    readonly bend: number;
    readonly phase: number | null;
  } | null;
  #fastEnds = Number.POSITIVE_INFINITY;

  constructor(random: SeededRandom, segment: DemoSegment, lastYear: number) {
    const family = families[segment.family];
    this.segment = segment;
    const energised = yearOf(segment.energisedDay);
    // Levels spread as much at forty years as at four: the spread is laid at the middle of the records.
    this.#anchorYear = Math.max(energised, lastYear - 9);
    this.#anchor =
      Math.log(family.newNsPerKm) + family.growth * (this.#anchorYear - energised) + field.levelSd * random.normal();
    this.#growth = family.growth + family.growthSd * random.normal();
    this.#offsets = [0, 1, 2].map(() => field.phaseOffsetSd * random.normal());
    this.#fast = fastAgeing(random, segment, lastYear);
  }

  lnLevel(phase: number, year: number): number {
    let level = this.#anchor + this.#offsets[phase]! + this.#growth * (year - this.#anchorYear);
    for (const turn of this.#turns) if (year >= turn.year) level += turn.step + turn.growth * (year - turn.year);
    return level + this.#fastPart(phase, year);
  }

  /** Level of the worst phase over the family's limit. */
  overLimit(year: number): number {
    const ln = Math.max(this.lnLevel(0, year), this.lnLevel(1, year), this.lnLevel(2, year));
    return Math.exp(ln) / families[this.segment.family].limitNsPerKm;
  }

  /** Fluid injection: the level falls, and most of the growth stops. */
  injected(year: number): void {
    this.#turns.push({ year, step: -0.8, growth: -0.7 * this.#growth });
  }

  /** The bad part was taken out: what it added is gone; some of the ordinary level goes with it. */
  renewed(year: number, step: number): void {
    this.#fastEnds = Math.min(this.#fastEnds, year);
    this.#turns.push({ year, step, growth: 0 });
  }

  #fastPart(phase: number, year: number): number {
    const fast = this.#fast;
    if (!fast || year < fast.from || year >= this.#fastEnds) return 0;
    const since = year - fast.from;
    const part = Math.min(3.2, fast.growth * since + (fast.bend * since * since) / 2);
    return fast.phase === null || fast.phase === phase ? part : 0.1 * part;
  }
}

function fastAgeing(random: SeededRandom, segment: DemoSegment, lastYear: number) {
  const draw = random.uniform();
  const onePhase = random.uniform() < field.fastInOnePhase;
  const phase = random.integer(3);
  const between = ({ from, to }: { from: number; to: number }) => from + (to - from) * random.uniform();
  const growth = between(field.fastGrowth);
  const bend = between(field.fastAcceleration);
  const start = random.uniform();
  if (segment.badSplice)
    return { from: lastYear - yearsBack.badSplices + 1.3 + start, growth: 0.28, bend: 0.03, phase };
  if (draw > field.fastShare) return null;
  const earliest = Math.max(yearOf(segment.energisedDay) + 5, lastYear - yearsBack.firstTest - 2);
  return { from: earliest + start * (lastYear - 2 - earliest), growth, bend, phase: onePhase ? phase : null };
}
