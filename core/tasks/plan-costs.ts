import { refuse } from '../contract/problem.ts';
import type { CostRow } from '../contract/shapes/plan.ts';
import { COST_SOURCES, DEFAULT_COSTS } from '../plan/defaults.ts';
import { INSTALLATIONS, type Installation, type PlanCosts } from '../plan/inputs.ts';
import { costsSet, ownerCosts } from '../store/plans.ts';
import type { Fleet } from '../store/sql.ts';
import type { CostTable } from '../store/tables.ts';

/** Name, words and unit of each money figure an owner can set. Money in the owner's currency. */
const figures: readonly (readonly [name: string, words: string, unit: string])[] = [
  ['replacementPerM.duct', 'replacement, in duct', 'per m'],
  ['replacementPerM.direct_buried', 'replacement, direct buried', 'per m'],
  ['replacementPerM.tray', 'replacement, on tray', 'per m'],
  ['replacementPerM.submarine', 'replacement, under water', 'per m'],
  ['replacementPerSplice', 'replacement, for each splice', 'each'],
  ['mobilisation', 'setting up on a feeder, once a year', 'each'],
  ['repairPerFailure', 'repair of one failure', 'each'],
  ['perCustomerHour', 'an hour without supply, for each customer', 'per customer-hour'],
  ['perKwhUnserved', 'energy not supplied', 'per kWh'],
  ['meanKwPerPeakKva', 'mean load over peak load', 'kW per kVA'],
  ['criticalMultiplier', 'weight of a critical load', 'times'],
  ['restorationHoursWithAlternate', 'restoration with an alternate supply', 'hours'],
  ['restorationHoursWithout', 'restoration without one', 'hours'],
  ['injectionPerM', 'fluid injection', 'per m'],
  ['injectionHazardFactor', 'hazard after fluid injection', 'times'],
  ['injectionEffectYears', 'fluid injection holds', 'years'],
  ['renewalPerSplice', 'renewal of a splice', 'each'],
  ['spliceFailureShare', 'share of failures at splices', 'share'],
  ['renewalHazardFactor', 'hazard of a renewed splice', 'times'],
  ['testPerCrewDay', 'a crew day of testing', 'per day'],
  ['crewDaysPerTest', 'crew days for one test', 'days'],
];

type NumberCost = { [K in keyof PlanCosts]: PlanCosts[K] extends number ? K : never }[keyof PlanCosts];

function defaultOf(name: string): number {
  const [field, installation] = name.split('.') as [keyof PlanCosts, Installation | undefined];
  return installation ? DEFAULT_COSTS.replacementPerM[installation] : (DEFAULT_COSTS[field] as number);
}

const sourceOf = (name: string): string => COST_SOURCES[name.split('.')[0] as keyof PlanCosts];

interface OwnCost {
  readonly name: string;
  readonly value: number;
  readonly source: string;
}

export const costRows = (fleet: Fleet): CostRow[] => rowsWith(ownerCosts(fleet));

/** The costs as they stood at a revision, from the ledger. */
export const costRowsAt = (fleet: Fleet, revision: number): CostRow[] =>
  rowsWith(
    costsSet(fleet, revision).map(({ after, why }) => ({
      ...(JSON.parse(after) as Pick<OwnCost, 'name' | 'value'>),
      source: why,
    })),
  );

/** Our defaults with what the owner has set; of several for one name the last counts. */
function rowsWith(own: readonly OwnCost[]): CostRow[] {
  const set = new Map(own.map((row) => [row.name, row]));
  return figures.map(([name, words, unit]) => {
    const own = set.get(name);
    return {
      name,
      words,
      unit,
      value: own?.value ?? defaultOf(name),
      source: own?.source ?? sourceOf(name),
      set: own !== undefined,
    };
  });
}

/** The costs a plan is made with: the owner's, and our defaults for the rest. */
export function planCosts(fleet: Fleet): PlanCosts {
  const value = new Map(costRows(fleet).map((row) => [row.name, row.value]));
  const replacementPerM = Object.fromEntries(
    INSTALLATIONS.map((installation) => [installation, value.get(`replacementPerM.${installation}`)!]),
  ) as Record<Installation, number>;
  const numbers = Object.fromEntries(
    figures.filter(([name]) => !name.includes('.')).map(([name]) => [name, value.get(name)!]),
  ) as Record<NumberCost, number>;
  return { ...DEFAULT_COSTS, ...numbers, replacementPerM };
}

/** The row to write for a cost the owner sets; refuses names that are not costs and values that cannot be. */
export function costToSet(
  name: string,
  value: number,
  source: string,
): Omit<CostTable, 'id' | 'ledger_seq' | 'digest'> {
  const figure = figures.find(([known]) => known === name);
  if (!figure) throw refuse('bad-input', `There is no cost '${name}'.`, { where: 'name' });
  const share = name === 'spliceFailureShare' || name.endsWith('Factor');
  if (!(value >= 0) || (share && value > 1))
    throw refuse('bad-input', `${figure[1]} cannot be ${value} ${figure[2]}.`, { where: 'value' });
  return { name, value, unit: figure[2], source };
}
