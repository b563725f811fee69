import { countQuantiles } from '../numerics/countQuantiles.ts';
import type { ActionKind } from './actions.ts';
import { interruptionOf, saidiMinutes, saifi } from './consequence.ts';
import type { PlanInputs } from './inputs.ts';
import type { Known } from './known.ts';
import { failureWith, type Worth } from './risk.ts';

/** Half width of a 90 % interval in standard deviations. */
const NINETY = 1.6448536269514722;

/** Ends of a 90 % interval. */
const ENDS = [0.05, 0.95];

/** An expected number, and the counts from `lo` to `hi` that hold the number itself with a probability of 90 % or more. */
export interface Expected {
  readonly mean: number;
  readonly lo: number;
  readonly hi: number;
}

/** What one year brings, with or without a plan. */
export interface YearOutlook {
  readonly failures: Expected;
  /** Expected cost of failures in the year, undiscounted. */
  readonly riskCost: number;
  /** Expected customer interruptions and customer minutes, from the segments whose customers are recorded. */
  readonly customersInterrupted: number;
  readonly customerMinutes: number;
  /** IEEE Std 1366 contributions of these segments to the system's indices. */
  readonly saifi: Known;
  readonly saidiMinutes: Known;
}

/** Work on a row of the segment columns: action and index of the plan year. */
export interface Done {
  readonly action: ActionKind;
  readonly year: number;
}

/**
 * Expected failures of a year are a Poisson-binomial sum: variance Σp(1−p). The uncertainty of the probabilities is
 * added in the widest way, as if all were too high or too low together, because they come from one fitted model:
 * sd = (Σhi − Σlo) / (2 × 1.645). New cable brings no such uncertainty of its own. The interval is one of whole counts,
 * from the count distribution with that mean and variance: a common factor on many small chances, gamma in shape, makes
 * their count negative binomial.
 * @param done work by row of the segment columns, empty for 'nothing is done'
 */
export function outlookOf(inputs: PlanInputs, worth: Worth, done: ReadonlyMap<number, Done>): YearOutlook[] {
  const { segments, horizonYears: horizon } = inputs;
  const n = segments.count;
  const years: YearOutlook[] = [];
  const interrupted = new Float64Array(n);
  const minutes = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    const of = interruptionOf(segments, i, inputs.costs);
    if (of.customersInterrupted.known) interrupted[i] = of.customersInterrupted.amount;
    if (of.customerMinutes.known) minutes[i] = of.customerMinutes.amount;
  }
  for (let y = 0; y < inputs.years; y++) {
    let mean = 0;
    let chance = 0;
    let parameter = 0;
    let riskCost = 0;
    let customersInterrupted = 0;
    let customerMinutes = 0;
    for (let i = 0; i < n; i++) {
      const work = done.get(i);
      const before = segments.failureProbability[i * horizon + y]!;
      const p = work ? failureWith(inputs, i, y, work.action, work.year) : before;
      mean += p;
      chance += p * (1 - p);
      riskCost += p * worth.consequence[i]!;
      customersInterrupted += p * interrupted[i]!;
      customerMinutes += p * minutes[i]!;
      if (work?.action === 'replace' && y >= work.year) continue;
      const spread = segments.failureProbabilityHi[i * horizon + y]! - segments.failureProbabilityLo[i * horizon + y]!;
      parameter += before > 0 ? spread * (p / before) : spread;
    }
    const [lo, hi] = countQuantiles(mean, chance + (parameter / (2 * NINETY)) ** 2, ENDS);
    years.push({
      failures: { mean, lo: lo!, hi: hi! },
      riskCost,
      customersInterrupted,
      customerMinutes,
      saifi: saifi(customersInterrupted, inputs.customersServed),
      saidiMinutes: saidiMinutes(customerMinutes, inputs.customersServed),
    });
  }
  return years;
}
