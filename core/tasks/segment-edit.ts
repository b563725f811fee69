import type { OutputOf } from '../contract/asks/index.ts';
import type { SegmentField } from '../contract/asks/segment.ts';
import type { SegmentId } from '../contract/ids.ts';
import { refuse } from '../contract/problem.ts';
import type { Json } from '../evidence/canonical.ts';
import { entryBytes, idText } from '../evidence/record-list.ts';
import { ledgerRow, revisionOf, versionsEndedBy } from '../store/ledger.ts';
import { recordColumns } from '../store/record-columns.ts';
import { recordById } from '../store/records.ts';
import { hasRecords, lastDayOf, segmentEntriesOf, splicesOf, testedPhases } from '../store/segment.ts';
import type { Fleet } from '../store/sql.ts';
import type { SegmentTable } from '../store/tables.ts';
import { type Change, changing } from './change.ts';
import { type Desk, today } from './desk.ts';
import {
  type Complaint,
  complainOfWhole,
  newSegment,
  readField,
  refuseComplaints,
  type SegmentValues,
} from './segment-values.ts';
import type { Task, TasksOf } from './task.ts';

const editing = 'edit segment';
const editingMany = 'edit segments';
const adding = 'add segment';
const retiring = 'retire segment';
const takingBack = 'take back';
const canBeTakenBack: readonly string[] = [editing, editingMany, adding, retiring, takingBack];

function segmentById(fleet: Fleet, id: string): SegmentTable {
  const row = recordById(fleet, 'segment', id);
  if (!row) throw refuse('not-found', 'There is no such segment in this fleet.', { where: 'segmentId' });
  return row;
}

const isValue = (column: keyof SegmentValues | 'id'): column is keyof SegmentValues => column !== 'id';

/** The fields that differ, before and after, as the ledger line shows them. */
function difference(before: SegmentValues, after: SegmentValues): { before: Json; after: Json } | null {
  const columns = recordColumns.segment.filter(isValue).filter((column) => before[column] !== after[column]);
  const of = (row: SegmentValues) => Object.fromEntries(columns.map((column) => [column, row[column]]));
  return columns.length === 0 ? null : { before: of(before), after: of(after) };
}

/** Nothing is measured on, or done to, a cable that is out of service; and nothing is retired ahead of its day. */
function complainOfRetiring(desk: Desk, row: SegmentTable, on: string | null, complaints: Complaint[]): void {
  if (on === null) return;
  const field = 'retired_on';
  if (on > today(desk))
    complaints.push({ field, says: `${on} is still to come. Record it once it is out of service.` });
  const last = lastDayOf(desk.fleet, row.id);
  if (last !== null && last > on)
    complaints.push({ field, says: `The fleet holds a test, work or a failure of ${last}, after that day.` });
}

/** What an edit leaves at odds with records that were right before it. */
function remarksOn(fleet: Fleet, row: SegmentValues & { readonly id: string }, field: SegmentField): string[] {
  if (field === 'length') {
    const beyond = splicesOf(fleet, row.id).filter((splice) => (splice.position_m ?? 0) > row.length_m);
    return beyond.map(
      (splice) => `Splice ${splice.owner_id} at ${splice.position_m} m now lies beyond the end: correct one of them.`,
    );
  }
  if (field !== 'phases') return [];
  const gone = testedPhases(fleet, row.id).filter((phase) => !row.phases.includes(phase));
  return gone.map((phase) => `There are readings of phase ${phase}, which the segment now does not carry.`);
}

const edit: Task<'segment.edit'> = (desk, { segmentId, field, value, why }) => {
  const { fleet } = desk;
  segmentById(fleet, segmentId);
  return changing(desk, (change) => {
    const before = segmentById(fleet, segmentId);
    const complaints: Complaint[] = [];
    const some = readField(fleet, field, value, complaints);
    refuseComplaints(complaints);
    const after = { ...before, ...some };
    complainOfWhole(fleet, segmentId, after, field, complaints);
    if (field === 'retired_on') complainOfRetiring(desk, before, after.retired_on, complaints);
    refuseComplaints(complaints);
    const differs = difference(before, after);
    if (!differs) return { segmentId, revision: revisionOf(fleet), line: null, remarks: [] };
    change.update('segment', before, after);
    change.seal({ what: editing, why: why || undefined }, { entity: 'segment', id: segmentId, ...differs });
    return { segmentId, revision: change.seq, line: change.seq, remarks: remarksOn(fleet, after, field) };
  });
};

/** Faults that a refusal of many spells out. */
const mostFaults = 20;

const editAll: Task<'segment.editAll'> = (desk, { segmentIds, field, value, why }) => {
  const { fleet } = desk;
  return changing(desk, (change) => {
    const complaints: Complaint[] = [];
    const some = readField(fleet, field, value, complaints);
    refuseComplaints(complaints);
    const faults: string[] = [];
    const changes: { before: SegmentTable; after: SegmentTable }[] = [];
    for (const id of new Set(segmentIds)) {
      const before = segmentById(fleet, id);
      const after = { ...before, ...some };
      if (!difference(before, after)) continue;
      complainOfWhole(fleet, id, after, field, complaints);
      for (const { says } of complaints.splice(0)) faults.push(`${before.name}: ${says}`);
      changes.push({ before, after });
    }
    if (faults.length > 0)
      throw refuse('bad-input', `${faults.length} of the segments cannot take this. Nothing is changed.`, {
        where: field,
        details: faults.slice(0, mostFaults),
      });
    const changed = changes.length;
    if (changed === 0) return { revision: revisionOf(fleet), line: null, changed };
    for (const { before, after } of changes) change.update('segment', before, after);
    change.seal({ what: editingMany, why: why || undefined }, undefined, { ...some, segments: changed });
    return { revision: change.seq, line: change.seq, changed };
  });
};

const shown = (row: SegmentValues): Json => ({
  segment_id: row.owner_id,
  name: row.name,
  length: `${row.length_typed} ${row.length_typed_unit}`,
});

const add: Task<'segment.add'> = (desk, { feederId, ownerId, values, why }) => {
  if (!recordById(desk.fleet, 'feeder', feederId))
    throw refuse('not-found', 'There is no such feeder in this fleet.', { where: 'feederId' });
  return changing(desk, (change) => {
    const row = newSegment(desk.fleet, feederId, { ownerId, values }, null);
    const id = change.add('segment', row);
    change.seal({ what: adding, why: why || undefined }, { entity: 'segment', id, before: null, after: shown(row) });
    return { segmentId: id as SegmentId, revision: change.seq, line: change.seq, remarks: [] };
  });
};

const retire: Task<'segment.retire'> = (desk, { segmentId, retiredOn, reason, replacement }) => {
  const { fleet } = desk;
  segmentById(fleet, segmentId);
  return changing(desk, (change) => {
    const before = segmentById(fleet, segmentId);
    if (before.retired_on !== null)
      throw refuse('not-allowed', `${before.name} was retired on ${before.retired_on} already.`);
    const after = { ...before, retired_on: retiredOn };
    const complaints: Complaint[] = [];
    complainOfWhole(fleet, segmentId, after, 'retired_on', complaints);
    complainOfRetiring(desk, before, retiredOn, complaints);
    refuseComplaints(complaints);
    const successor = replacement ? newSegment(fleet, before.feeder_id, replacement, segmentId) : null;
    change.update('segment', before, after);
    const replacementId = successor ? (change.add('segment', successor) as SegmentId) : null;
    change.seal(
      { what: retiring, why: reason },
      {
        entity: 'segment',
        id: segmentId,
        before: { retired_on: null },
        after: { retired_on: retiredOn, ...(successor ? { replaced_by: shown(successor) } : {}) },
      },
    );
    return { segmentId, replacementId, revision: change.seq, line: change.seq, remarks: [] };
  });
};

/** Ids of the segments that a line wrote. */
function writtenBy(fleet: Fleet, line: number): string[] {
  const ids: string[] = [];
  for (const entries of segmentEntriesOf(fleet, line))
    for (let at = 0; at < entries.length; at += entryBytes) ids.push(idText(entries.subarray(at, at + 16)));
  return ids;
}

const fromContent = (content: string): SegmentValues => {
  const values = JSON.parse(content) as unknown[];
  return Object.fromEntries(recordColumns.segment.map((column, i) => [column, values[i]])) as unknown as SegmentValues;
};

/** A record of the ledger is never removed: an added segment is taken back by a life in service of no day. */
function undone(desk: Desk, now: SegmentTable): SegmentValues {
  if (hasRecords(desk.fleet, now.id))
    throw refuse(
      'not-allowed',
      `${now.name} has records of its own by now and stays. Edit single fields, or retire it.`,
    );
  return { ...now, retired_on: now.energised_on ?? today(desk), replaces_id: null };
}

/** More than one ask can change. */
const mostRows = 100_000;

function restore(desk: Desk, change: Change, line: number, what: string, many: boolean): OutputOf<'segment.takeBack'> {
  const { fleet } = desk;
  const former = new Map(versionsEndedBy(fleet, line, mostRows).map((version) => [version.id, version.content]));
  const rows = writtenBy(fleet, line).map((id) => segmentById(fleet, id));
  // The line is about the segment that was there before.
  rows.sort((a, b) => Number(former.has(b.id)) - Number(former.has(a.id)));
  for (const now of rows)
    if (now.ledger_seq !== line)
      throw refuse('moved-on', `${now.name} was changed again by line ${now.ledger_seq}. Edit the field instead.`);
  const [first] = rows;
  if (!first) throw refuse('not-allowed', `Line ${line} wrote no segment.`, { where: 'line' });
  const changes = rows.map((now) => {
    const content = former.get(now.id);
    const after = content === undefined ? undone(desk, now) : fromContent(content);
    const complaints: Complaint[] = [];
    complainOfWhole(fleet, now.id, after, null, complaints);
    if (after.retired_on !== now.retired_on) complainOfRetiring(desk, now, after.retired_on, complaints);
    refuseComplaints(complaints);
    change.update('segment', now, { ...after, id: now.id });
    return difference(now, after);
  });
  const words = { what: takingBack, why: `line ${line}: ${what}` };
  const before = changes[0]?.before ?? null;
  const after = changes[0]?.after ?? null;
  if (many) change.seal(words, undefined, { segments: rows.length });
  else change.seal(words, { entity: 'segment', id: first.id, before, after });
  return { segmentId: first.id as SegmentId, revision: change.seq, line: change.seq, remarks: [] };
}

const takeBack: Task<'segment.takeBack'> = (desk, { line }) => {
  const row = ledgerRow(desk.fleet, line);
  if (!row) throw refuse('not-found', `The ledger has no line ${line}.`, { where: 'line' });
  if (!canBeTakenBack.includes(row.what))
    throw refuse('not-allowed', `Line ${line} (${row.what}) is not taken back here: only edits of segments are.`);
  return changing(desk, (change) => restore(desk, change, line, row.what, row.entity === null));
};

export const segmentEditTasks: TasksOf<
  'segment.edit' | 'segment.editAll' | 'segment.add' | 'segment.retire' | 'segment.takeBack'
> = {
  'segment.edit': edit,
  'segment.editAll': editAll,
  'segment.add': add,
  'segment.retire': retire,
  'segment.takeBack': takeBack,
};
