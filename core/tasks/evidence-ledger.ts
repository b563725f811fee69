import type { z } from 'zod';
import { refuse } from '../contract/problem.ts';
import type { FieldChange, LedgerEntry } from '../contract/shapes/evidence.ts';
import { type CorrectionRow, correctionsBetween } from '../store/evidence.ts';
import {
  type LedgerRow,
  ledgerChoices,
  ledgerCount,
  ledgerPage,
  ledgerRow,
  ledgerRows,
  type VersionRow,
  versionsEndedBy,
  versionsOf,
} from '../store/ledger.ts';
import { planItemColumns, readingColumns, recordColumns } from '../store/record-columns.ts';
import { planItemsOf, readingsOfEvent, recordById } from '../store/records.ts';
import type { Fleet } from '../store/sql.ts';
import type { Entity } from '../store/tables.ts';
import { describeRecord } from '../store/verify.ts';
import { contentOf } from './content.ts';
import { writeRows } from './out-file.ts';
import type { TasksOf } from './task.ts';

type Field = z.infer<typeof FieldChange>;
type Value = string | number | null;

/** Records of one line shown with what changed in them; the rest are counted. */
const shownChanges = 20;

const isEntity = (name: string): name is Entity => Object.hasOwn(recordColumns, name);

/** A record's content as fields by name; readings and plan items one field each, named by their place. */
function fieldsOf(entity: Entity, content: readonly unknown[]): Map<string, Value> {
  const fields = new Map<string, Value>();
  const columns: readonly string[] = recordColumns[entity];
  for (const [i, column] of columns.entries()) if (column !== 'id') fields.set(column, (content[i] ?? null) as Value);
  const parts = content[columns.length] as readonly (readonly Value[])[] | undefined;
  for (const part of parts ?? []) {
    const names: readonly string[] = entity === 'plan' ? planItemColumns : readingColumns;
    const place = entity === 'plan' ? `${part[0]}` : `${part[0]} step ${part[1]}`;
    for (const [i, name] of names.entries())
      if (i >= (entity === 'plan' ? 1 : 2)) fields.set(`${place}, ${name}`, part[i] ?? null);
  }
  return fields;
}

function changed(entity: Entity, before: readonly unknown[] | null, after: readonly unknown[]): Field[] {
  const was = before ? fieldsOf(entity, before) : new Map<string, Value>();
  const is = fieldsOf(entity, after);
  const fields: Field[] = [];
  for (const [field, value] of is)
    if ((was.get(field) ?? null) !== value) fields.push({ field, before: was.get(field) ?? null, after: value });
  for (const [field, value] of was) if (!is.has(field)) fields.push({ field, before: value, after: null });
  return fields;
}

function currentContent(fleet: Fleet, entity: Entity, id: string): readonly unknown[] | undefined {
  const row = recordById(fleet, entity, id);
  if (!row) return undefined;
  const parts =
    entity === 'test_event' ? readingsOfEvent(fleet, id) : entity === 'plan' ? planItemsOf(fleet, id) : undefined;
  return contentOf(entity, row as never, parts as never);
}

/** What the version became: the next earlier version, or the record as it is now. */
function becameOf(fleet: Fleet, version: VersionRow): readonly unknown[] | undefined {
  const next = versionsOf(fleet, version.entity, version.id).find((one) => one.writtenBy === version.endedBy);
  return next ? (JSON.parse(next.content) as unknown[]) : currentContent(fleet, version.entity as Entity, version.id);
}

/** A test that took the place of another, as a change of it. */
function correction(fleet: Fleet, { oldId, newId }: CorrectionRow) {
  const [before, after] = [oldId, newId].map((id) => currentContent(fleet, 'test_event', id)!);
  const name = describeRecord(fleet, 'test_event', oldId) ?? oldId;
  const fields = changed('test_event', before!, after!).filter(({ field }) => field !== 'supersedes_id');
  return { entity: 'test_event', id: newId, name: `${name}, superseded`, fields };
}

function entryOf(fleet: Fleet, line: LedgerRow, corrections: readonly CorrectionRow[]): z.infer<typeof LedgerEntry> {
  const named = (entity: string, id: string) => (isEntity(entity) ? describeRecord(fleet, entity, id) : undefined);
  return {
    line: line.seq,
    at: line.at,
    who: line.who,
    what: line.what,
    why: line.why,
    hash: Buffer.from(line.hash).toString('hex'),
    entity: line.entity,
    id: line.entityId,
    name: line.entity && line.entityId ? (named(line.entity, line.entityId) ?? null) : null,
    records: line.records,
    before: line.before,
    after: line.after,
    changes: [
      ...corrections.slice(0, shownChanges).map((one) => correction(fleet, one)),
      ...versionsEndedBy(fleet, line.seq, shownChanges - Math.min(shownChanges, corrections.length)).flatMap(
        (version) => {
          const after = isEntity(version.entity) ? becameOf(fleet, version) : undefined;
          if (!after) return [];
          return {
            entity: version.entity,
            id: version.id,
            name: named(version.entity, version.id) ?? version.id,
            fields: changed(version.entity as Entity, JSON.parse(version.content) as unknown[], after),
          };
        },
      ),
    ],
    changesTotal: line.changed + corrections.length,
  };
}

export const ledgerTasks: TasksOf<'ledger.page' | 'ledger.ofRecord' | 'ledger.export'> = {
  'ledger.page': ({ fleet }, { before, count, filter }) => {
    const lines = ledgerPage(fleet, filter, before ?? Number.MAX_SAFE_INTEGER, count);
    const corrections = Map.groupBy(
      correctionsBetween(fleet, lines.at(-1)?.seq ?? 0, lines[0]?.seq ?? 0),
      (one) => one.line,
    );
    return {
      total: ledgerCount(fleet, filter),
      entries: lines.map((line) => entryOf(fleet, line, corrections.get(line.seq) ?? [])),
      choices: ledgerChoices(fleet),
    };
  },

  'ledger.ofRecord': ({ fleet }, { entity, id }) => {
    const row = isEntity(entity) ? recordById(fleet, entity, id) : undefined;
    if (!isEntity(entity) || !row) throw refuse('not-found', `There is no ${entity} with this key.`, { where: 'id' });
    const contents = versionsOf(fleet, entity, id).map((version) => ({
      by: version.writtenBy,
      content: JSON.parse(version.content) as readonly unknown[],
    }));
    contents.push({ by: row.ledger_seq, content: currentContent(fleet, entity, id)! });
    const versions = contents.map(({ by, content }, i) => {
      const line = ledgerRow(fleet, by);
      if (!line) throw refuse('broken-file', `Ledger line ${by}, which wrote this record, is missing: run verify.`);
      const { at, who, what, why } = line;
      return { line: by, at, who, what, why, fields: changed(entity, contents[i - 1]?.content ?? null, content) };
    });
    const event = entity === 'test_event' ? recordById(fleet, 'test_event', id) : undefined;
    const other = (otherId: string | null | undefined) =>
      otherId ? { id: otherId, name: describeRecord(fleet, 'test_event', otherId) ?? otherId } : null;
    return {
      name: describeRecord(fleet, entity, id) ?? id,
      versions,
      supersedes: other(event?.supersedes_id),
      supersededBy: other(event?.superseded_by_id),
    };
  },

  'ledger.export': (desk, { out, filter }) => {
    let lines = 0;
    const rows = function* () {
      yield ledgerHeader;
      for (const line of ledgerRows(desk.fleet, filter)) {
        lines++;
        yield ledgerCells(line);
      }
    };
    writeRows(desk, out, rows(), desk.checkStop);
    return { file: out, lines };
  },
};

const ledgerHeader = ['line', 'at', 'who', 'what', 'why', 'records', 'entity', 'id', 'before', 'after', 'hash'];
const ledgerCells = (line: LedgerRow): string[] => [
  `${line.seq}`,
  line.at,
  line.who,
  line.what,
  line.why ?? '',
  `${line.records}`,
  line.entity ?? '',
  line.entityId ?? '',
  line.before ?? '',
  line.after ?? '',
  Buffer.from(line.hash).toString('hex'),
];
