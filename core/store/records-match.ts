import { type Fleet, prepared } from './sql.ts';
import type { LayoutTable } from './tables.ts';

export interface MatchRow {
  readonly id: string;
  readonly ownerId: string;
  readonly name: string;
  readonly feederId: string;
  readonly feeder: string;
  readonly phases: string;
  readonly lengthM: number;
  readonly insulation: string;
  readonly conductorDiameterMm: number | null;
  readonly insulationThicknessMm: number | null;
  readonly retiredOn: string | null;
}

/** Every segment with what a tester's file can be held against. */
export function segmentsToMatch(fleet: Fleet): MatchRow[] {
  return prepared(
    fleet,
    `select g.id, g.owner_id as ownerId, g.name, g.feeder_id as feederId, f.name as feeder, g.phases,
       g.length_m as lengthM, g.insulation, g.conductor_diameter_mm as conductorDiameterMm,
       g.insulation_thickness_mm as insulationThicknessMm, g.retired_on as retiredOn
     from segment g join feeder f on f.id = g.feeder_id order by g.owner_id`,
  ).all() as MatchRow[];
}

export interface DayReadingRow {
  readonly testId: string;
  readonly testOwnerId: string;
  readonly phase: string;
  readonly leakageUa: number;
  readonly voltageKv: number;
}

/** Readings in force of a segment on one day. */
export function readingsOnDay(fleet: Fleet, segmentId: string, testedOn: string): DayReadingRow[] {
  return prepared(
    fleet,
    `select e.id as testId, e.owner_id as testOwnerId, r.phase, r.leakage_ua as leakageUa, r.voltage_kv as voltageKv
     from test_event e join reading r on r.test_event_id = e.id
     where e.segment_id = ? and e.tested_on = ? and e.superseded_by_id is null order by e.id, r.phase, r.step`,
  ).all(segmentId, testedOn) as DayReadingRow[];
}

/** The instrument with this serial number or owner's id, whatever the case. */
export function instrumentBySerial(fleet: Fleet, serial: string): { id: string; name: string } | undefined {
  return prepared(
    fleet,
    `select id, coalesce(serial, owner_id) as name from instrument
     where serial = ? collate nocase or owner_id = ? collate nocase order by owner_id limit 1`,
  ).get(serial, serial) as { id: string; name: string } | undefined;
}

export function layoutOf(fleet: Fleet, fingerprint: string): LayoutTable | undefined {
  return prepared(fleet, 'select * from layout where fingerprint = ?').get(fingerprint) as LayoutTable | undefined;
}

/** What an owner may write for a record: its id, and its name or serial number. */
export interface CalledRow {
  readonly ownerId: string;
  readonly name: string | null;
}

const called = {
  segment: 'select owner_id as ownerId, name from segment',
  feeder: 'select owner_id as ownerId, name from feeder',
  substation: 'select owner_id as ownerId, name from substation',
  instrument: 'select owner_id as ownerId, serial as name from instrument',
} as const;

export const calledRows = (fleet: Fleet, entity: keyof typeof called): CalledRow[] =>
  prepared(fleet, called[entity]).all() as CalledRow[];
