import { type Fleet, prepared } from './sql.ts';
import type { CostTable, PlanTable } from './tables.ts';

export interface PlanSegment {
  readonly id: string;
  readonly ownerId: string;
  readonly name: string;
  readonly feederId: string;
  readonly feederName: string;
  readonly peakLoadKva: number | null;
  readonly feederCustomers: number | null;
}

/** Segments with what the plan needs of their feeder, in order of the owner's id. */
export function planSegments(fleet: Fleet): PlanSegment[] {
  return prepared(
    fleet,
    `select g.id, g.owner_id as ownerId, g.name, f.id as feederId, f.name as feederName,
       f.peak_load_kva as peakLoadKva, f.customers as feederCustomers
     from segment g join feeder f on f.id = g.feeder_id order by g.owner_id`,
  ).all() as PlanSegment[];
}

/** Customers of all feeders; 0 where none is recorded. */
export function customersServed(fleet: Fleet): number {
  return (prepared(fleet, 'select coalesce(sum(customers), 0) as n from feeder').get() as { n: number }).n;
}

export function ownerCosts(fleet: Fleet): CostTable[] {
  return prepared(fleet, 'select * from cost order by name').all() as CostTable[];
}

/** Costs as they were set, oldest first, up to a revision. `after` is JSON with the name and value, `why` the source. */
export function costsSet(fleet: Fleet, upTo: number): { after: string; why: string }[] {
  return prepared(
    fleet,
    "select after, why from ledger where entity = 'cost' and what = 'set cost' and seq <= ? order by seq",
  ).all(upTo) as { after: string; why: string }[];
}

export function plansKept(fleet: Fleet): (PlanTable & { items: number })[] {
  return prepared(
    fleet,
    `select p.*, (select count(*) from plan_item i where i.plan_id = p.id) as items from plan p
     order by p.made_at desc, p.id desc`,
  ).all() as (PlanTable & { items: number })[];
}

/** Who kept a plan, by the ledger. */
export const planKeptBy = (fleet: Fleet, planId: string): string | null =>
  (
    prepared(
      fleet,
      "select who from ledger where entity = 'plan' and entity_id = ? and what = 'keep plan' order by seq limit 1",
    ).get(planId) as { who: string } | undefined
  )?.who ?? null;

/** Segments on which fluid was injected before, by id. */
export function injectedSegments(fleet: Fleet): Set<string> {
  const rows = prepared(
    fleet,
    "select distinct segment_id as id from intervention where kind = 'fluid_injected'",
  ).all();
  return new Set((rows as { id: string }[]).map((row) => row.id));
}
