import { all, type Fleet, prepared, sqlite } from './sql.ts';
import type { PolicyTable } from './tables.ts';

export interface PolicyRow extends PolicyTable {
  readonly by: string | null;
  readonly at: string | null;
}

/** Versions of the owner's rules, with who set each and when; by subject, oldest first. */
export function policies(fleet: Fleet): PolicyRow[] {
  return all(
    fleet,
    sqlite
      .selectFrom('policy')
      .leftJoin('ledger', 'ledger.seq', 'policy.ledger_seq')
      .selectAll('policy')
      .select(['ledger.who as by', 'ledger.at as at'])
      .orderBy('policy.subject')
      .orderBy('policy.version'),
  );
}

export interface LimitThen {
  readonly insulation: string;
  readonly limitNsPerKm: number | null;
  /** Moment of the ledger line that wrote it; '' for what stood before the first. */
  readonly at: string;
}

/**
 * The owner's limits as they stood, each from the moment it was written. Those that came with the fleet's records stood
 * before it too; one that was set where the owner had none did not: null stands before it.
 */
export function limitsThroughTime(fleet: Fleet): LimitThen[] {
  return prepared(
    fleet,
    `with version as (
       select insulation, limit_ns_per_km as limitNsPerKm, ledger_seq as seq from leakage_limit
       union all
       select json_extract(before, '$[1]'), json_extract(before, '$[2]'), before_seq
       from ledger_change where entity = 'leakage_limit'),
     numbered as (select *, row_number() over (partition by insulation order by seq) as n from version)
     select insulation, limitNsPerKm, case when n = 1 and what <> 'set limits' then '' else at end as at
     from numbered join ledger using (seq)
     union all
     select insulation, null, '' from numbered join ledger using (seq) where n = 1 and what = 'set limits'
     order by at, insulation`,
  ).all() as LimitThen[];
}

/** A segment with what a rule can ask of it. */
export interface LifeRow {
  readonly id: string;
  readonly ownerId: string;
  readonly name: string;
  readonly feeder: string;
  readonly substation: string;
  readonly insulation: string;
  readonly ratedKv: number | null;
  readonly criticalLoad: number | null;
  readonly alternateSupply: number | null;
  readonly energisedOn: string | null;
  readonly retiredOn: string | null;
}

/** Tests that count as done: in force, and with at least one reading that was not broken off. Segment, day, owner's id; in order of segment and day. */
export function testDays(fleet: Fleet): [segmentId: string, testedOn: string, ownerId: string][] {
  return prepared(
    fleet,
    `select e.segment_id, e.tested_on, e.owner_id from test_event e
     where e.superseded_by_id is null
       and exists (select 1 from reading r where r.test_event_id = e.id and r.outcome is not 'stopped')
     order by e.segment_id, e.tested_on, e.owner_id`,
  )
    .raw()
    .all() as [string, string, string][];
}

export interface ExcuseRow {
  readonly segmentId: string;
  readonly dueOn: string;
  readonly until: string | null;
  readonly reason: string;
  readonly by: string;
  readonly at: string;
}

/** Excuses with who gave them and when. */
export function excuses(fleet: Fleet): ExcuseRow[] {
  return all(
    fleet,
    sqlite
      .selectFrom('excuse')
      .innerJoin('ledger', 'ledger.seq', 'excuse.ledger_seq')
      .select([
        'excuse.segment_id as segmentId',
        'excuse.due_on as dueOn',
        'excuse.until as until',
        'excuse.reason as reason',
        'ledger.who as by',
        'ledger.at as at',
      ])
      .orderBy('excuse.segment_id')
      .orderBy('excuse.due_on')
      .orderBy('excuse.id'),
  );
}
