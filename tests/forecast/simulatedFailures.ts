import type { FailureRecords, SegmentLives, TestKnowledge } from '../../core/forecast/failure/lives.ts';
import { seededRandom } from '../../core/numerics/random.ts';

export const families = ['PILC', 'XLPE', 'EPR'];

/** H(t) = conductor km × exp(intercept + family + splices·ln(1 + s) + growth·g / 0.1 + level·l / ln 2) (t / 25)^shape. */
export interface Truth {
  readonly intercept: number;
  readonly shape: number;
  readonly family: readonly number[];
  readonly splices: number;
  readonly growth: number;
  readonly level: number;
}

export const truth: Truth = {
  intercept: -3,
  shape: 3.2,
  family: [0.6, 0, -0.7],
  splices: 0.4,
  growth: 0.5,
  level: 0.6,
};

export interface SimulatedFleet {
  readonly lives: SegmentLives;
  readonly failures: FailureRecords;
  readonly knowledge: TestKnowledge;
  /** The true cumulative hazard of a life between two ages. */
  readonly hazard: (life: number, from: number, to: number) => number;
}

/** Lives energised over 50 years, records over the last 20, repeat failures, a test known from the records' start. */
export function simulateFailures(count: number, seed: number, law: Truth = truth): SimulatedFleet {
  const random = seededRandom(seed);
  const columns = () => new Float64Array(count);
  const lives = {
    count,
    entryAge: columns(),
    exitAge: columns(),
    family: new Uint8Array(count),
    families,
    conductorKm: columns(),
    splicesPerKm: columns(),
  };
  const knowledge = {
    count,
    life: Int32Array.from({ length: count }, (_, i) => i),
    age: columns(),
    growthPerYear: columns(),
    lnLevelToLimit: columns(),
  };
  const score = columns();
  const life: number[] = [];
  const age: number[] = [];
  const hazard = (i: number, from: number, to: number): number =>
    Math.exp(score[i]!) * ((to / 25) ** law.shape - (from / 25) ** law.shape);
  for (let i = 0; i < count; i++) {
    const exit = 2 + 48 * random.uniform();
    const entry = Math.max(0, exit - 20);
    lives.exitAge[i] = exit;
    lives.entryAge[i] = entry;
    lives.family[i] = random.integer(3);
    lives.conductorKm[i] = Math.exp(Math.log(1.5) + 0.6 * random.normal());
    lives.splicesPerKm[i] = 4 * random.uniform();
    knowledge.age[i] = entry;
    knowledge.growthPerYear[i] = 0.05 + 0.08 * random.normal();
    knowledge.lnLevelToLimit[i] = -1.5 + 0.8 * random.normal();
    score[i] =
      law.intercept +
      Math.log(lives.conductorKm[i]!) +
      law.family[lives.family[i]!]! +
      law.splices * Math.log1p(lives.splicesPerKm[i]!) +
      (law.growth * knowledge.growthPerYear[i]!) / 0.1 +
      (law.level * knowledge.lnLevelToLimit[i]!) / Math.LN2;
    // The next failure is where the hazard since the last has used up an exponential; inverted exactly.
    for (let at = entry; ; ) {
      const spent = Math.exp(score[i]!) * (at / 25) ** law.shape - Math.log(random.uniform());
      at = 25 * (spent / Math.exp(score[i]!)) ** (1 / law.shape);
      if (at > exit) break;
      life.push(i);
      age.push(at);
    }
  }
  const failures = { count: life.length, life: Int32Array.from(life), age: Float64Array.from(age) };
  return { lives, failures, knowledge, hazard };
}
