import type { WhatIfRow } from '../contract/asks/plan.ts';
import type { PlanQuestion, PlanResult } from '../contract/shapes/plan.ts';
import type { Desk } from './desk.ts';
import { askedName, keptPlan, planFor } from './plan-result.ts';

interface Variant {
  readonly words: string;
  readonly question: PlanQuestion;
}

/** The terms as asked, and each changed by itself within its bounds. */
function variantsOf(question: PlanQuestion): Variant[] {
  const { budget, discountRate, hazardGrowth } = question;
  const rate = (by: number) => Math.round(1e6 * Math.min(0.3, Math.max(0, discountRate + by))) / 1e6;
  const percent = (x: number) => `${Number((100 * x).toFixed(2))}\u00a0%`;
  const variants: Variant[] = [
    { words: 'as asked', question },
    { words: 'a fifth less money', question: { ...question, budget: budget * 0.8 } },
    { words: 'a fifth more money', question: { ...question, budget: Math.min(1e12, budget * 1.2) } },
    ...[-0.02, 0.02].map((by) => ({
      words: `discounted at ${percent(rate(by))}`,
      question: { ...question, discountRate: rate(by) },
    })),
    {
      words: 'failure rates rise 2\u00a0% a year faster',
      question: { ...question, hazardGrowth: Math.min(0.5, hazardGrowth + 0.02) },
    },
  ];
  // A rate at its bound would say the same twice.
  return variants.filter(
    (one, at) => at === 0 || JSON.stringify(one.question) !== JSON.stringify(variants[0]!.question),
  );
}

const rowOf = (words: string, plan: PlanResult): WhatIfRow => ({
  words,
  works: plan.items.length,
  paying: plan.items.filter((item) => item.netPv > 0).length,
  spent: plan.spent,
  riskRemovedPv: plan.benefitPv,
  riskLeftPv: plan.riskPvLeft,
  netPv: plan.benefitPv - plan.costPv + plan.residualPv,
  failures: plan.byYear.reduce((sum, year) => sum + year.failures.mean, 0),
});

/** The plan under changed terms, one change at a time, each solved anew; cancellable between and within them. */
export async function whatIf(desk: Desk, question: PlanQuestion): Promise<WhatIfRow[]> {
  const rows: WhatIfRow[] = [];
  for (const { words, question: asked } of variantsOf(question)) {
    desk.checkStop();
    rows.push(rowOf(words, await planFor(desk, asked)));
  }
  return rows;
}

/** The same where all of it has been worked out for the fleet as it is; undefined otherwise. */
export function whatIfKept(desk: Desk, plan: PlanResult): WhatIfRow[] | undefined {
  const rows: WhatIfRow[] = [];
  for (const { words, question } of variantsOf(plan.question)) {
    const kept = keptPlan(desk, askedName(desk, question));
    if (!kept || (rows.length === 0 && kept.asked !== plan.asked)) return undefined;
    rows.push(rowOf(words, kept));
  }
  return rows;
}
