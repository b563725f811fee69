import { type Fleet, prepared } from './sql.ts';

/** Files as they were received, and what became of them. */

export interface KeptFileRow {
  readonly id: string;
  readonly name: string;
  readonly byteCount: number;
  readonly receivedAt: string;
}

const columns = 'id, name, byte_count as byteCount, received_at as receivedAt';

export function fileBySha256(fleet: Fleet, sha256: Uint8Array): KeptFileRow | undefined {
  return prepared(fleet, `select ${columns} from source_file where sha256 = ?`).get(sha256) as KeptFileRow | undefined;
}

export interface FileBytes {
  readonly name: string;
  readonly compression: string;
  readonly bytes: Uint8Array;
}

export function fileBytes(fleet: Fleet, id: string): FileBytes | undefined {
  return prepared(fleet, 'select name, compression, bytes from source_file where id = ?').get(id) as
    | FileBytes
    | undefined;
}

export interface TestOfFileRow {
  readonly testId: string;
  readonly testOwnerId: string;
  readonly testedOn: string;
  readonly segmentId: string;
  readonly segment: string;
  readonly phase: string;
}

/** The test that a file's samples became, if it was accepted. */
export function testOfFile(fleet: Fleet, fileId: string): TestOfFileRow | undefined {
  return prepared(
    fleet,
    `select e.id as testId, e.owner_id as testOwnerId, e.tested_on as testedOn, g.id as segmentId, g.name as segment, t.phase
     from trace t join test_event e on e.id = t.test_event_id join segment g on g.id = e.segment_id
     where t.source_file_id = ?`,
  ).get(fileId) as TestOfFileRow | undefined;
}

export interface AsideRow extends KeptFileRow {
  /** Why it lies aside, as the ledger has it; null where it came in an import with others. */
  readonly why: string | null;
  /** What the line that brought it says after the change. */
  readonly line: string | null;
}

/** Files that belong to no test and no calibration, newest first. */
export function filesAside(fleet: Fleet): AsideRow[] {
  return prepared(
    fleet,
    `select f.id, f.name, f.byte_count as byteCount, f.received_at as receivedAt,
       (select l.why from ledger l where l.entity = 'source_file' and l.entity_id = f.id order by l.seq desc limit 1) as why,
       (select l.after from ledger l where l.seq = f.ledger_seq) as line
     from source_file f
     where not exists (select 1 from trace t where t.source_file_id = f.id)
       and not exists (select 1 from test_event e where e.source_file_id = f.id)
       and not exists (select 1 from calibration c where c.source_file_id = f.id)
     order by f.id desc`,
  ).all() as AsideRow[];
}
