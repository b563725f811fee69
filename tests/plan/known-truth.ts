import { seededRandom } from '../../core/numerics/random.ts';
import type { Work } from '../../core/plan/checker.ts';
import { consequenceOf } from '../../core/plan/consequence.ts';
import type { PlanInputs } from '../../core/plan/inputs.ts';
import { columns, inputsOf } from './fleet.ts';

/** A fleet whose true hazards are known to the test and only estimated, with error, by the plan. */
export interface KnownFleet {
  readonly inputs: PlanInputs;
  /** True annual probabilities of failure, in the layout of the inputs. */
  readonly truth: Float64Array;
}

/**
 * True ln hazard per km: insulation, age (Weibull shape 3), level (0.5 per ln unit), growth, and a part nobody sees
 * (sd 0.4). The readings show level with sd 0.35 and growth with sd 3 % a year; the plan gets hazards from those
 * readings, shrunk as a model would, and from insulation and age. Consequences differ widely and are known.
 */
export function knownFleet(seed: number, count: number, budgetShare: number): KnownFleet {
  const random = seededRandom(seed);
  const years = 10;
  const horizon = 25;
  const s = columns(count, horizon);
  const truth = new Float64Array(count * horizon);
  let cost = 0;
  for (let i = 0; i < count; i++) {
    s.feeder[i] = random.integer(Math.ceil(count / 15));
    s.lengthM[i] = 150 + 1200 * random.uniform() ** 2;
    s.splices[i] = random.integer(4);
    s.customers[i] = Math.round(Math.exp(4.5 + 1.1 * random.normal()));
    s.alternateSupply[i] = random.uniform() < 0.4 ? 1 : 0;
    s.criticalLoad[i] = random.uniform() < 0.08 ? 1 : 0;
    s.installation[i] = random.integer(2);
    s.insulation[i] = [0, 1, 2, 4][random.integer(4)]!;
    const family = [0.2, 0.7, 0, 0, -0.3][s.insulation[i]!]!;
    const age = 5 + 45 * random.uniform();
    s.ageYears[i] = age;
    const level = random.normal();
    const growth = 0.03 + 0.04 * random.normal();
    const unseen = 0.4 * random.normal();
    const levelSeen = level + 0.35 * random.normal();
    const growthSeen = growth + 0.03 * random.normal();
    s.levelNsPerKm[i] = Math.exp(levelSeen);
    s.growthPctPerYear[i] = 100 * Math.expm1(growthSeen);
    // Posterior means of the two under their true distributions, which is what a fitted model tends to.
    const levelBelieved = levelSeen / (1 + 0.35 ** 2);
    const growthBelieved = 0.03 + ((growthSeen - 0.03) * 0.04 ** 2) / (0.04 ** 2 + 0.03 ** 2);
    for (let j = 0; j < horizon; j++) {
      const base = Math.log(s.lengthM[i]! / 1000) - 4 + family + 2 * Math.log((age + j) / 30);
      const probability = (lnHazard: number) => -Math.expm1(-Math.exp(Math.min(1, lnHazard)));
      truth[i * horizon + j] = probability(base + 0.5 * level + growth * j + unseen);
      const believed = probability(base + 0.5 * levelBelieved + growthBelieved * j);
      s.failureProbability[i * horizon + j] = believed;
      s.failureProbabilityLo[i * horizon + j] = believed * 0.5;
      s.failureProbabilityHi[i * horizon + j] = Math.min(1, believed * 2);
    }
    cost += s.lengthM[i]! * (s.installation[i] === 0 ? 330 : 500);
  }
  const inputs = inputsOf(s, years, horizon, Math.round(cost * budgetShare));
  return { inputs: { ...inputs, carryOverMax: Infinity }, truth };
}

/** True present value of the failure cost that the work avoids: true probabilities, known consequences. */
export function avoidedCost(fleet: KnownFleet, work: readonly Work[]): number {
  const { inputs, truth } = fleet;
  const { segments, horizonYears: horizon, costs } = inputs;
  let avoided = 0;
  for (const item of work) {
    const i = segments.ordinal.indexOf(item.segment);
    const consequence = consequenceOf(segments, i, costs).total;
    const from = item.year - inputs.startYear;
    for (let j = from; j < horizon; j++) {
      const before = truth[i * horizon + j]!;
      const lengthKm = segments.lengthM[i]! / 1000;
      let after = 1 - Math.exp(-inputs.newCable.failuresPerKmYear[j - from]! * lengthKm);
      if (item.action === 'fluid_injection')
        after = j < from + costs.injectionEffectYears ? before * costs.injectionHazardFactor : before;
      if (item.action === 'splice_renewal')
        after = before * (1 - costs.spliceFailureShare * (1 - costs.renewalHazardFactor));
      avoided += ((before - after) * consequence) / (1 + inputs.discountRate) ** (j + 1);
    }
  }
  return avoided;
}
