import type { PlanId } from '../contract/ids.ts';
import type { KeptPlan, PlanItemRow, PlanResult } from '../contract/shapes/plan.ts';
import { singlePresentValue } from '../plan/discount.ts';
import { planKeptBy } from '../store/plans.ts';
import type { Fleet } from '../store/sql.ts';
import type { PlanTable } from '../store/tables.ts';
import { costRowsAt } from './plan-costs.ts';
import { currencyOf } from './plan-currency.ts';
import { planRevision } from './plan-result.ts';

/** What plans kept by the first edition do not carry. */
type Later = 'costs' | 'currency' | 'residualPv';
type EarlyResult = Omit<PlanResult, Later | 'items'> &
  Partial<Pick<PlanResult, Later>> & { readonly items: readonly (PlanItemRow | EarlyItem)[] };
type EarlyItem = Omit<PlanItemRow, 'costPv' | 'residualPv' | 'waiting'>;

/**
 * A kept plan as it was made. Where it was kept without the money figures it was made with, the ledger tells how they
 * stood at its revision; present values of its costs follow from its rate, and what cable is still worth from its nets.
 */
export function resultKept(fleet: Fleet, row: PlanTable): PlanResult {
  const kept = JSON.parse(row.result) as EarlyResult;
  if (kept.costs) return kept as PlanResult;
  const { discountRate } = kept.question;
  const first = kept.byYear[0]?.year ?? 0;
  const items = kept.items.map((item): PlanItemRow => {
    const costPv = item.cost * singlePresentValue(discountRate, item.year - first + 1);
    return { ...item, costPv, residualPv: item.netPv - item.benefitPv + costPv, waiting: null };
  });
  return {
    ...kept,
    items,
    residualPv: items.reduce((sum, item) => sum + item.residualPv, 0),
    costs: costRowsAt(fleet, kept.revision),
    currency: currencyOf(fleet, kept.revision),
  };
}

/** A kept plan in the list of them. */
export function keptOf(fleet: Fleet, row: PlanTable & { readonly items: number }, result: PlanResult): KeptPlan {
  return {
    id: row.id as PlanId,
    name: row.name,
    madeAt: row.made_at,
    keptBy: planKeptBy(fleet, row.id),
    revision: row.fleet_revision,
    state: row.state as KeptPlan['state'],
    approvedAt: row.approved_at,
    approvedBy: row.approved_by,
    spent: result.spent,
    currency: result.currency,
    items: row.items,
    objectivePv: result.objectivePv,
    stale: row.fleet_revision < planRevision(fleet),
  };
}
