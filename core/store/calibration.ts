import { type Fleet, prepared } from './sql.ts';

export interface CalibrationRow {
  readonly id: string;
  readonly instrumentId: string;
  readonly calibratedOn: string;
  readonly dueOn: string | null;
  readonly certificate: string | null;
  readonly fileId: string | null;
  readonly fileName: string | null;
  readonly sha256: Uint8Array | null;
}

/** All calibrations with their attached certificates, by instrument and day. */
export function calibrations(fleet: Fleet): CalibrationRow[] {
  return prepared(
    fleet,
    `select c.id, c.instrument_id as instrumentId, c.calibrated_on as calibratedOn, c.due_on as dueOn, c.certificate,
       f.id as fileId, f.name as fileName, f.sha256
     from calibration c left join source_file f on f.id = c.source_file_id
     order by c.instrument_id, c.calibrated_on, c.owner_id`,
  ).all() as CalibrationRow[];
}

export function instruments(fleet: Fleet): { id: string; ownerId: string; serial: string | null }[] {
  return prepared(fleet, 'select id, owner_id as ownerId, serial from instrument order by owner_id').all() as {
    id: string;
    ownerId: string;
    serial: string | null;
  }[];
}

export interface UsedRow {
  readonly id: string;
  readonly ownerId: string;
  readonly segmentId: string;
  readonly segment: string;
  readonly testedOn: string;
  readonly instrumentId: string | null;
}

/** Tests of a period and the instruments of their readings; a test with two instruments comes twice. By day and owner's id. */
export function instrumentsUsed(fleet: Fleet, from: string, to: string): UsedRow[] {
  return prepared(
    fleet,
    `select distinct e.id, e.owner_id as ownerId, e.segment_id as segmentId, s.name as segment, e.tested_on as testedOn,
       r.instrument_id as instrumentId
     from test_event e join segment s on s.id = e.segment_id join reading r on r.test_event_id = e.id
     where e.superseded_by_id is null and e.tested_on between ? and ?
     order by e.tested_on, e.owner_id, r.instrument_id`,
  ).all(from, to) as UsedRow[];
}

export function sourceFileBySha(fleet: Fleet, sha256: Uint8Array): { id: string } | undefined {
  return prepared(fleet, 'select id from source_file where sha256 = ?').get(sha256) as { id: string } | undefined;
}
