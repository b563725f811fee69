import { normalCdf, normalPdf } from '../numerics/normal.ts';
import { ACTIONS, type ActionKind } from './actions.ts';
import type { Plan } from './answer.ts';
import type { PlanInputs } from './inputs.ts';
import { type Known, known, unknown } from './known.ts';
import { worthOf } from './risk.ts';
import { allowedYears, readWishes } from './wishes.ts';

/**
 * Unit normal loss: the mean of max(0, Z − z) for a standard normal Z. φ(z) − z·Φ(−z), without cancellation for large z.
 * Source: Raiffa and Schlaifer, Applied Statistical Decision Theory (1961), linear-loss integral (from memory, unverified; its values agree
 * with the table row and the R figure named in the tests).
 */
export const unitNormalLoss = (z: number): number => {
  if (z <= 0) return normalPdf(z) - z * normalCdf(-z);
  // Far out the two terms agree to most digits; the series of Mills' ratio gives their difference.
  if (z > 12) return (normalPdf(z) / (z * z)) * (1 - 3 / (z * z) + 15 / z ** 4);
  return normalPdf(z) - z * normalCdf(-z);
};

/** Sd by which a reading with error `errorSd` is expected to move a posterior mean of sd `priorSd` (pre-posterior sd). */
export const preposteriorSd = (priorSd: number, errorSd: number): number =>
  priorSd === 0 ? 0 : (priorSd * priorSd) / Math.hypot(priorSd, errorSd);

/**
 * Value of a test where the gain of acting is linear in a normal quantity: the mean over readings of the best of acting
 * and not acting, less the better of the two now. `gain`: present expected gain of acting; `gainSd`: sd of its
 * pre-posterior mean. Unit: that of the gain. Closed form: sd × unit normal loss of |gain| / sd.
 */
export const valueOfTestNormal = (gain: number, gainSd: number): number =>
  gainSd > 0 ? gainSd * unitNormalLoss(Math.abs(gain) / gainSd) : 0;

/**
 * Mean over readings of max(0, benefit × e^x − cost), where x is what the reading says of ln hazard and e^x has mean 1
 * and ln-sd `sd`. Closed form of the lognormal integral: benefit·Φ(d + sd) − cost·Φ(d), d = ln(benefit/cost)/sd − sd/2.
 */
export function expectedBestLognormal(benefit: number, cost: number, sd: number): number {
  if (cost <= 0) return benefit - cost;
  if (benefit <= 0) return 0;
  if (sd <= 0) return Math.max(0, benefit - cost);
  const d = Math.log(benefit / cost) / sd - sd / 2;
  return benefit * normalCdf(d + sd) - cost * normalCdf(d);
}

/** What one more test of a segment before deciding would be worth. */
export interface TestWorth {
  readonly segment: number;
  /** Expected gain of the plan from the reading, present value, before the cost of the test; never below 0. */
  readonly value: Known;
  readonly cost: number;
  readonly crewDays: number;
  /** The work that the reading could speak for or against, and its first year after the test. */
  readonly about: { readonly action: ActionKind; readonly year: number } | null;
}

export interface TestOptions {
  /** 'lognormal': the effect multiplies the hazard. 'normal': the same made linear, by unit normal loss. */
  readonly form?: 'lognormal' | 'normal';
  readonly residualValue?: boolean;
}

/**
 * Pre-posterior analysis for every segment: a test in the first plan year, its reading known before the second. Money is
 * priced at what it is worth in the plan, so that a test counts only what it would free or claim there. Compared are the
 * best choice now (act at once, act later, never) and the mean of the best later choice after the reading.
 */
export function worthOfTests(inputs: PlanInputs, plan: Plan, options: TestOptions = {}): TestWorth[] {
  const { segments, years } = inputs;
  const worth = worthOf(inputs, options.residualValue ?? true);
  const wishes = readWishes(inputs);
  const price = plan.byYear.map((year) => (year.worthOfMoney.known ? year.worthOfMoney.amount : 0));
  const crewDays = inputs.costs.crewDaysPerTest;
  const cost = crewDays * inputs.costs.testPerCrewDay;
  const result: TestWorth[] = [];
  for (let i = 0; i < segments.count; i++) {
    const segment = segments.ordinal[i]!;
    const sd = preposteriorSd(segments.lnHazardSd[i]!, segments.testErrorSd[i]!);
    if (Number.isNaN(sd)) {
      const because = 'how sure the hazard of the segment is was not estimated';
      result.push({ segment, value: unknown(because), cost, crewDays, about: null });
      continue;
    }
    const wish = wishes.get(segment);
    let now = 0;
    let later = 0;
    let about: TestWorth['about'] = null;
    const open = wish?.must ? [] : allowedYears(wish, inputs);
    for (const y of open) {
      for (const action of ACTIONS) {
        const own = worth.cost[action][i]!;
        if (Number.isNaN(own)) continue;
        const residual = action === 'replace' ? worth.residualPvPerCost[y]! : 0;
        // A plan that only removes risk counts money by what it is worth elsewhere in the plan; else its cost counts too.
        const spending = plan.objective === 'risk-removed' ? 0 : worth.discount[y]! - residual;
        const paid = own * (spending + price[y]!);
        const benefit = worth.benefitPv[action][i * years + y]!;
        now = Math.max(now, benefit - paid);
        if (y === 0) continue;
        const after =
          options.form === 'normal'
            ? Math.max(0, benefit - paid) + valueOfTestNormal(benefit - paid, benefit * sd)
            : expectedBestLognormal(benefit, paid, sd);
        if (after <= later) continue;
        later = after;
        about = { action, year: inputs.startYear + y };
      }
    }
    result.push({ segment, value: known(Math.max(0, later - now)), cost, crewDays, about });
  }
  return result;
}

/** Crew time is shared out in quarters of a day. */
const STEPS_A_DAY = 4;

/**
 * The tests most worth doing within the crew days: most value less cost in sum, exactly (0/1 knapsack over quarter days).
 * Tests whose value does not exceed their cost are never among them. In falling order of value less cost.
 */
export function testsWorthDoing(tests: readonly TestWorth[], crewDayLimit: number): TestWorth[] {
  const gain = (test: TestWorth) => (test.value.known ? test.value.amount - test.cost : 0);
  const steps = (test: TestWorth) => Math.max(1, Math.ceil(test.crewDays * STEPS_A_DAY - 1e-9));
  const wanted = tests.filter((test) => gain(test) > 0);
  const limit = Math.min(
    Math.floor(crewDayLimit * STEPS_A_DAY + 1e-9),
    wanted.reduce((sum, test) => sum + steps(test), 0),
  );
  const best = new Float64Array(limit + 1);
  const taken = wanted.map(() => new Uint8Array(limit + 1));
  wanted.forEach((test, k) => {
    const size = steps(test);
    const own = gain(test);
    for (let room = limit; room >= size; room--) {
      if (best[room - size]! + own <= best[room]!) continue;
      best[room] = best[room - size]! + own;
      taken[k]![room] = 1;
    }
  });
  const chosen: TestWorth[] = [];
  for (let k = wanted.length - 1, room = limit; k >= 0; k--) {
    if (!taken[k]![room]) continue;
    chosen.push(wanted[k]!);
    room -= steps(wanted[k]!);
  }
  return chosen.sort((a, b) => gain(b) - gain(a) || a.segment - b.segment);
}
