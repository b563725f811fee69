import { ACTION } from './actions.ts';
import type { Work } from './checker.ts';
import type { PlanInputs } from './inputs.ts';

/** Rules of thumb that a plan is compared with: which segment comes first. */
export const BASELINES = ['age-first', 'worst-reading-first', 'worst-growth-first'] as const;
export type Baseline = (typeof BASELINES)[number];

/**
 * Replaces whole segments in the order of the rule, each year as many as its money and crews allow (one that does not
 * fit is passed over for the next), with the same budget, carry-over, crews and mobilisation as a plan. Segments whose
 * figure is unknown come last, in order of their ordinal. Wishes are not asked.
 */
export function baselineWork(inputs: PlanInputs, rule: Baseline): Work[] {
  const { segments } = inputs;
  const figure = {
    'age-first': segments.ageYears,
    'worst-reading-first': segments.levelNsPerKm,
    'worst-growth-first': segments.growthPctPerYear,
  }[rule];
  const rank = (i: number) => (Number.isNaN(figure[i]!) ? Number.NEGATIVE_INFINITY : figure[i]!);
  const order = Array.from({ length: segments.count }, (_, i) => i);
  order.sort((a, b) => (rank(a) === rank(b) ? segments.ordinal[a]! - segments.ordinal[b]! : rank(b) - rank(a)));
  const work: Work[] = [];
  const done = new Uint8Array(segments.count);
  const mobilisation = Math.round(inputs.costs.mobilisation * 100);
  let carried = 0;
  for (let y = 0; y < inputs.years; y++) {
    let cents = Math.floor(inputs.budget[y]! * 100 + 1e-6) + carried;
    let metres = inputs.crewKm[y]! * 1000;
    const mobilised = new Set<number>();
    for (const i of order) {
      if (done[i]) continue;
      const feeder = segments.feeder[i]!;
      const cost =
        Math.round(ACTION.replace.cost(segments, i, inputs.costs) * 100) + (mobilised.has(feeder) ? 0 : mobilisation);
      const crewM = Math.round(ACTION.replace.crewM(segments, i));
      if (cost > cents || crewM > metres) continue;
      cents -= cost;
      metres -= crewM;
      mobilised.add(feeder);
      done[i] = 1;
      work.push({ segment: segments.ordinal[i]!, year: inputs.startYear + y, action: 'replace' });
    }
    carried = Math.min(cents, Math.floor(inputs.carryOverMax * 100 + 1e-6));
  }
  return work;
}
