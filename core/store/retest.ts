import type { LifeRow } from './compliance.ts';
import { byName, inPlaceOrder } from './name-order.ts';
import { type Fleet, prepared } from './sql.ts';

export interface AreaLifeRow extends LifeRow {
  readonly area: string | null;
}

const lives = `select s.id, s.owner_id as ownerId, s.name, f.name as feeder, u.name as substation, u.region as area,
    s.insulation, s.rated_kv as ratedKv, s.critical_load as criticalLoad, s.alternate_supply as alternateSupply,
    s.energised_on as energisedOn, s.retired_on as retiredOn
  from segment s join feeder f on f.id = s.feeder_id join substation u on u.id = f.substation_id`;

/** Segments with what a rule can ask of them and the crew area they lie in, by substation, feeder and name. */
export const areaLives = (fleet: Fleet): AreaLifeRow[] =>
  inPlaceOrder(prepared(fleet, `${lives} order by u.name, f.name, s.owner_id`).all() as AreaLifeRow[]);

export const areaLife = (fleet: Fleet, segmentId: string): AreaLifeRow | undefined =>
  prepared(fleet, `${lives} where s.id = ?`).get(segmentId) as AreaLifeRow | undefined;

/** A test counts as done where at least one of its readings was not broken off, as everywhere in the evidence. */
export const counted = `e.superseded_by_id is null
  and exists (select 1 from reading r where r.test_event_id = e.id and r.outcome is not 'stopped')`;

/** The last day up to `upTo` on which each segment was tested. */
export function lastTestDays(fleet: Fleet, upTo: string): Map<string, string> {
  const rows = prepared(
    fleet,
    `select e.segment_id, max(e.tested_on) from test_event e where e.tested_on <= ? and ${counted} group by e.segment_id`,
  )
    .raw()
    .all(upTo) as [string, string][];
  return new Map(rows);
}

export const lastTestDay = (fleet: Fleet, segmentId: string, upTo: string): string | null =>
  (
    prepared(
      fleet,
      `select max(e.tested_on) as day from test_event e where e.segment_id = ? and e.tested_on <= ? and ${counted}`,
    ).get(segmentId, upTo) as { day: string | null }
  ).day;

export interface LastReadingRow {
  readonly testedOn: string;
  readonly phase: string;
  readonly voltageKv: number;
  readonly outcome: string | null;
}

/** Readings of the last test of a segment up to a day, the latest entered where two were done on one day. */
export function lastReadings(fleet: Fleet, segmentId: string, upTo: string): LastReadingRow[] {
  return prepared(
    fleet,
    `select e.tested_on as testedOn, r.phase, r.voltage_kv as voltageKv, r.outcome from reading r
     join test_event e on e.id = r.test_event_id
     where e.id = (select id from test_event where segment_id = ? and superseded_by_id is null and tested_on <= ?
       order by tested_on desc, id desc limit 1)
     order by r.phase, r.step`,
  ).all(segmentId, upTo) as LastReadingRow[];
}

export interface NewestPlanRow {
  readonly name: string;
  readonly madeAt: string;
  readonly options: string;
}

/** The plan that holds: the newest approved one, else the newest kept. */
export function newestPlan(fleet: Fleet): NewestPlanRow | undefined {
  return prepared(
    fleet,
    `select name, made_at as madeAt, options from plan order by state = 'approved' desc, made_at desc, id desc limit 1`,
  ).get() as NewestPlanRow | undefined;
}

export interface InstrumentRow {
  readonly id: string;
  readonly ownerId: string;
  readonly serial: string | null;
  readonly description: string | null;
}

export const instruments = (fleet: Fleet): InstrumentRow[] =>
  (
    prepared(fleet, 'select id, owner_id as ownerId, serial, description from instrument').all() as InstrumentRow[]
  ).sort((a, b) => byName(a.ownerId, b.ownerId));

/** Crews of the newest tests, for a list to choose from. */
export function crewsOfLate(fleet: Fleet): string[] {
  const rows = prepared(
    fleet,
    `select distinct crew from (select r.crew from test_event e join reading r on r.test_event_id = e.id
       where r.crew is not null order by e.id desc limit 2000)`,
  ).all() as { crew: string }[];
  return rows.map((row) => row.crew).sort(byName);
}

/** Whether the owner's id is taken by a record of this kind. */
export const ownerIdTaken = (
  fleet: Fleet,
  entity: 'test_event' | 'failure' | 'intervention' | 'splice',
  ownerId: string,
): boolean => prepared(fleet, `select 1 from ${entity} where owner_id = ?`).get(ownerId) !== undefined;

/** Up to three segments whose owner's id or name begins with the text, whatever the case. */
export function segmentsBeginning(fleet: Fleet, text: string): { id: string; ownerId: string; name: string }[] {
  const pattern = `${text.replace(/[\\%_]/g, '\\$&')}%`;
  return prepared(
    fleet,
    `select id, owner_id as ownerId, name from segment where owner_id like ? escape '\\' or name like ? escape '\\'
     order by owner_id limit 3`,
  ).all(pattern, pattern) as { id: string; ownerId: string; name: string }[];
}
