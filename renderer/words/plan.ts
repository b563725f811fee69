import type { z } from 'zod';
import type { OutputOf } from '../../core/contract/asks/index.ts';
import type { Figure } from '../../core/contract/figure.ts';
import type {
  KeptPlan,
  PlanAction as PlanActionShape,
  PlanItemRow,
  PlanQuestion,
  PlanResult,
  PlanWish,
} from '../../core/contract/shapes/plan.ts';
import { moment } from './evidence.ts';
import { count, fixed, measured, nb, percent, whole } from './numbers.ts';
import { type Sentence, strong } from './sentence.ts';
import { routeLength, type UnitSystem } from './units.ts';

export type PlanAction = z.infer<typeof PlanActionShape>;

export const actionNames: Readonly<Record<PlanAction, string>> = {
  replace: 'replace',
  replace_with_neighbours: 'replace with its neighbours',
  fluid_injection: 'inject fluid',
  splice_renewal: 'renew its splices',
};

/** Money at the fineness a board reads: '18,400', '412,000', '2.50 million'. */
export function money(amount: number): string {
  const size = Math.abs(amount);
  if (size >= 999_500) return `${fixed(amount / 1e6, size >= 9_995_000 ? 1 : 2)}${nb}million`;
  if (size >= 1000) return whole(Number(amount.toPrecision(3)));
  return whole(amount);
}

/** Money with the name of its currency, where it has one: '2.50 million EUR'. */
export const inCurrency = (amount: number, currency: string | null): string =>
  currency === null ? money(amount) : `${money(amount)}${nb}${currency}`;

/** What a table's money is in. */
export const moneyIn = (currency: string | null): string =>
  currency === null ? 'No currency is named' : `Money in ${currency}`;

/** The currency of the money figures, and what is in another one. */
export function currencyWords(currency: string | null, defaults: number): string {
  const named = currency === null ? 'No currency is named.' : `All money is in ${currency}.`;
  if (defaults === 0) return named;
  return `${named} Defaults are orders of magnitude found in US dollars; they are not converted.`;
}

/** Money in a narrow column: '18 k', '412 k', '2.50 M'. */
export function moneyShort(amount: number): string {
  const size = Math.abs(amount);
  if (size >= 999_500) return `${fixed(amount / 1e6, size >= 9_995_000 ? 1 : 2)}${nb}M`;
  if (size >= 1000) return `${fixed(amount / 1000, 0)}${nb}k`;
  return whole(amount);
}

/** What a plan comes to, in a sentence. */
export function planOpening(result: PlanResult): Sentence {
  if (result.status === 'infeasible')
    return [strong('No plan can keep all of this'), ': the limits and wishes below exclude each other.'];
  const removed = result.riskPvBefore - result.riskPvLeft;
  const share = result.riskPvBefore > 0 ? (removed / result.riskPvBefore) * 100 : 0;
  const { currency } = result;
  const projects = count(result.items.length, 'project');
  if (result.items.length === 0)
    return [strong('Nothing is worth doing'), ` under these terms: no project removes more risk than it costs.`];
  return [
    strong(projects),
    ` for ${inCurrency(result.spent, currency)}${currency === null ? ' (no currency is named)' : ''} remove `,
    strong(`${percent(share, 0)} of the risk`),
    ` that can be put in money: ${inCurrency(removed, currency)} of ${inCurrency(result.riskPvBefore, currency)} in present value over ${count(result.question.horizon ?? 20, 'year')}. ${inCurrency(result.riskPvLeft, currency)} is left. ${payingWords(result)}`,
  ];
}

/** How many projects are worth their money by risk alone. */
function payingWords({ items, question }: PlanResult): string {
  const paying = items.filter((item) => item.netPv > 0).length;
  const which =
    paying === 0
      ? 'None of them pays for itself'
      : paying === items.length
        ? 'Each of them pays for itself'
        : `${whole(paying)} of them ${paying === 1 ? 'pays for itself' : 'pay for themselves'}`;
  return `${which} within ${count(question.horizon ?? 20, 'year')} by the money figures it rests on.`;
}

/** Risk that stays if all projects of a year are done a year later; a dash where it cannot be told. */
export function riskOfWait({ items }: PlanResult, year: number): string {
  let risk = 0;
  for (const item of items) {
    if (item.year !== year) continue;
    if (item.waiting === null) return '–';
    risk += item.waiting.riskKept;
  }
  return money(risk);
}

/** What the changed terms are. */
export const whatIfHelp =
  'A fifth less and more money, two points of discount rate down and up, failure rates rising 2 % a year faster: one change at a time, the whole plan made anew under it. Failures are the expected sum over the years of the plan. The paper for the board then carries it.';

/** How risk removed, cost and net hang together. */
export function netWords({ benefitPv, costPv, residualPv, currency }: PlanResult): string {
  return `${money(benefitPv)} of risk removed, less ${money(costPv)} of cost, plus ${money(residualPv)} that new cable is still worth at the horizon: ${inCurrency(benefitPv - costPv + residualPv, currency)} net, all present values.`;
}

/** How far from the best possible plan this one can be. */
export function gapWords(result: PlanResult): string {
  const gap = result.gap.known
    ? `At most ${percent(result.gap.amount * 100, 2)} from the best possible plan.`
    : `How far from the best is not known: ${result.gap.because}.`;
  const greedy = result.greedyPv.known
    ? ` Taking simply the best ratio first would come to ${money(result.greedyPv.amount)} instead of ${money(result.objectivePv)}.`
    : '';
  return gap + greedy;
}

/** A wish in words: 'Mill Lane 4 in 2027', 'not Mill Lane 4'. */
export function wishWords(wish: PlanWish, nameOf: (segment: string) => string): string {
  const name = nameOf(wish.segment);
  if (wish.kind === 'pin') return wish.year === null ? `${name} left out` : `${name} in ${wish.year}`;
  const span =
    wish.fromYear === undefined && wish.toYear === undefined
      ? ''
      : wish.fromYear === wish.toYear
        ? ` in ${wish.fromYear}`
        : ` from ${wish.fromYear ?? 'the start'} to ${wish.toYear ?? 'the end'}`;
  return wish.kind === 'must' ? `${name} must be done${span}` : `${name} must not be done${span}`;
}

/** What leaving a project one more year comes to, and why; it can be a gain. */
export function waitingWords({ costOfWaiting, waiting }: Pick<PlanItemRow, 'costOfWaiting' | 'waiting'>): string {
  if (costOfWaiting === null) return 'cannot be told: this is the last year of the plan';
  const total = costOfWaiting < 0 ? `saves ${money(-costOfWaiting)} net` : `costs ${money(costOfWaiting)} net`;
  if (waiting === null) return total;
  const newer = waiting.residualGained > 0 ? ` and ${money(waiting.residualGained)} by newer cable at the horizon` : '';
  return `${total}: ${money(waiting.riskKept)} of risk stays, ${money(waiting.interestSaved)} of interest is saved${newer}`;
}

/** What the price of a move and the cost of waiting are measured by. */
export const yardsticks = (objective: PlanQuestion['objective']): string =>
  `Waiting is reckoned for this project alone, all others as they are, net of money. The price of a move is what the whole plan, made anew around it, loses of ${soughtWords(objective)}.`;

const soughtWords = (objective: PlanQuestion['objective']): string =>
  objective === 'net-benefit' ? 'its net benefit' : 'the risk it removes';

/** A segment's name under its feeder's: 'Mill Lane 4' under 'Mill Lane' is '4'. */
export const nameUnder = (name: string, feeder: string): string =>
  name.startsWith(`${feeder} `) ? name.slice(feeder.length + 1) : name;

type Priced = OutputOf<'plan.price'>;

/** The price of a wish: what the plan loses by it. */
export function priceWords({ before, after, price }: Priced): string {
  const { question, currency } = before;
  if (!price.known) return `What it costs cannot be told: ${price.because}.`;
  const range = price.lo === null || price.hi === null ? '' : ` (between ${money(price.lo)} and ${money(price.hi)})`;
  const sought = `of ${soughtWords(question.objective)}, in present value${range}, with the whole plan made anew around it`;
  const first =
    Math.abs(price.amount) < 0.5
      ? `It costs nothing ${sought}.`
      : `It ${price.amount > 0 ? 'costs' : 'gains'} ${inCurrency(Math.abs(price.amount), currency)} ${sought}.`;
  if (question.objective === 'net-benefit' || Math.abs(price.net) < 0.5) return first;
  const more = after.spent - before.spent;
  const spends =
    Math.abs(more) < 0.5
      ? 'It spends as much as before'
      : `It spends ${money(Math.abs(more))} ${more > 0 ? 'more' : 'less'} in all`;
  return `${first} ${spends}; net of money and of what cable is still worth, the plan ${price.net > 0 ? 'loses' : 'gains'} ${money(Math.abs(price.net))}.`;
}

/** How many projects of a year stand in its column; the others are counted under them. */
const shownInYear = 8;

/** Projects of one year: the largest by feeder, and how many more there are. */
export interface YearColumn {
  readonly year: number;
  readonly groups: readonly {
    readonly feeder: string;
    /** Several projects on the feeder this year, shown or not: they share its setting up. */
    readonly tied: boolean;
    readonly items: readonly PlanItemRow[];
  }[];
  /** All projects of the year, most risk removed first. */
  readonly items: readonly PlanItemRow[];
  /** Those that are not in the groups. */
  readonly rest: readonly PlanItemRow[];
}

/** The years as columns: what was set by hand and what removes most risk stands in them, the rest is kept apart. */
export function yearColumns(result: PlanResult): YearColumn[] {
  const byYear = new Map<number, PlanItemRow[]>(result.byYear.map(({ year }) => [year, []]));
  for (const item of result.items) byYear.get(item.year)?.push(item);
  return [...byYear].map(([year, items]) => {
    items.sort((a, b) => b.benefitPv - a.benefitPv);
    const shown = items.filter((item, at) => at < shownInYear || item.forced !== null);
    const onFeeder = new Map<string, number>();
    for (const item of items) onFeeder.set(item.feeder, (onFeeder.get(item.feeder) ?? 0) + 1);
    const groups = [...new Set(shown.map((item) => item.feeder))].map((feeder) => ({
      feeder,
      tied: onFeeder.get(feeder)! > 1,
      items: shown.filter((item) => item.feeder === feeder),
    }));
    return { year, groups, items, rest: items.filter((item) => !shown.includes(item)) };
  });
}

/** 'and 35 more', with their length and cost under it. */
export const restWords = (
  rest: readonly PlanItemRow[],
  units: UnitSystem,
): { readonly more: string; readonly length: string; readonly cost: string } => ({
  more: `and ${whole(rest.length)} more`,
  length: routeLength(sum(rest, (item) => item.lengthM) / 1000, units),
  cost: moneyShort(sum(rest, (item) => item.cost)),
});

/** A year's projects in a line: '43 projects on 3.2 km for 2.44 million'. */
export const yearWords = (items: readonly PlanItemRow[], units: UnitSystem): string =>
  `${count(items.length, 'project')} on ${routeLength(sum(items, (item) => item.lengthM) / 1000, units)} for ${money(sum(items, (item) => item.cost))}`;

/** How the board of years is walked and changed. */
export const boardHelp =
  'Each year shows the projects that remove most risk. Arrow keys walk them and Enter opens one. Drag a project to another year, or press Shift with ← or →, to see what the move costs.';

const sum = (items: readonly PlanItemRow[], of: (item: PlanItemRow) => number): number =>
  items.reduce((total, item) => total + of(item), 0);

/** Expected failures by year, with the plan and without it. */
export function failuresFigure(result: PlanResult): Figure {
  return {
    title: 'Expected failures a year',
    xLabel: 'year',
    yLabel: 'failures',
    xKind: 'year',
    yScale: 'linear',
    points: [],
    lines: [
      { name: 'without the plan', at: result.byYear.map((y) => [y.year, y.failuresBefore.mean]) },
      { name: 'with the plan', at: result.byYear.map((y) => [y.year, y.failures.mean]) },
    ],
    bands: [
      { name: 'with the plan', sharePct: 90, at: result.byYear.map((y) => [y.year, y.failures.lo, y.failures.hi]) },
    ],
    levels: [],
    marks: [],
  };
}

/** '3.20 (1 to 6)': the mean, and the counts that hold it nine times in ten. */
export const expectedWords = (expected: { mean: number; lo: number; hi: number }): string =>
  `${measured(expected.mean)} (${whole(expected.lo)} to ${whole(expected.hi)})`;

/** 'approved by Ada Thornbury, 2026-11-30'. */
export const approvedWords = ({ approvedBy, approvedAt }: KeptPlan): string =>
  `approved by ${approvedBy ?? 'someone'}, ${(approvedAt ?? '').slice(0, 10)}`;

/** When and by whom a plan was kept, and whether it is approved. */
export const keptWords = (plan: KeptPlan): string =>
  `was kept${plan.keptBy === null ? '' : ` by ${plan.keptBy}`} on ${moment(plan.madeAt)} UTC; ${plan.state === 'approved' ? `${approvedWords(plan)}.` : 'a draft.'}`;

/** Whether what a kept plan was made from is still as it was. */
export const movedWords = ({ stale }: KeptPlan): string =>
  stale
    ? 'The fleet has changed since: made again, the plan may come out otherwise.'
    : 'Nothing that it was made from has changed since.';

/** The terms of a plan, for its file's name and its title. */
export const termsWords = (question: PlanQuestion): string =>
  `${money(question.budget)} a year for ${count(question.years ?? 10, 'year')}`;
