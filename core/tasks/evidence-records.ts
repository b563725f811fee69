import { type RecordValue, recordDigest, sha256 } from '../evidence/canonical.ts';
import { digestOfText, valuesText } from '../evidence/content-text.ts';
import { RecordList } from '../evidence/record-list.ts';
import { entities, planItemColumns, readingColumns, recordColumns } from '../store/record-columns.ts';
import type { Entity } from '../store/tables.ts';
import { ledgerChanges, planItemsBetween, readingsBetween, recordsAfter } from '../store/verify.ts';
import type { Desk } from './desk.ts';
import type { Faults } from './evidence-faults.ts';

/** Every version of every record found in the file, by the ledger line that wrote it. */
export type Found = Map<number, Map<string, RecordList>>;

const uuid = /^[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$/;
const blobColumns: { readonly [E in Entity]?: readonly string[] } = {
  source_file: ['sha256', 'bytes'],
  trace: ['samples'],
};
const last = '~';

function put(found: Found, seq: number, entity: string, id: string, digest: Uint8Array): void {
  let lists = found.get(seq);
  if (!lists) {
    lists = new Map();
    found.set(seq, lists);
  }
  let list = lists.get(entity);
  if (!list) {
    list = new RecordList();
    lists.set(entity, list);
  }
  list.add(id, digest);
}

/**
 * One pass over every record in order of id: its content against its digest, its earlier versions against theirs, and
 * the unbroken row of lines that wrote it. Fills `found` for the comparison with the ledger.
 */
export function checkRecords(desk: Desk, fleet: Desk['fleet'], faults: Faults, total: number) {
  const found: Found = new Map();
  const versions = new Versions(fleet, found, faults);
  let records = 0;
  let readings = 0;
  for (const entity of entities) {
    const columns = recordColumns[entity].length;
    const blobs = (blobColumns[entity] ?? []).map((name) => (recordColumns[entity] as readonly string[]).indexOf(name));
    const hashed = blobs.filter((i) => recordColumns[entity][i] !== 'sha256');
    const limit = blobs.length > 0 ? 32 : 1000;
    for (let after = ''; ; ) {
      const rows = recordsAfter(fleet, entity, after, limit);
      const end = rows.length < limit ? last : (rows.at(-1)![0] as string);
      const parts = partsOf(fleet, entity, after, end, faults);
      for (const row of rows) {
        const id = row[0] as string;
        const seq = row[columns] as number;
        const stored = row[columns + 1] as Buffer;
        for (const i of blobs) {
          const bytes = row[i] as Buffer;
          row[i] = (hashed.includes(i) ? sha256(bytes) : bytes).toString('hex');
        }
        let text = valuesText(row, 0, columns);
        if (parts) text += `,[${parts.of(id)}]`;
        const digest = digestOfText(entity, text);
        if (!digest.equals(stored))
          faults.add('record', 'does not give the digest that was sealed for it: it was changed', {
            entity,
            id,
            seq,
            sealed: { digest: stored },
          });
        if (!uuid.test(id)) faults.add('record', 'has a key that Cable Yearbook did not make', { entity, id, seq });
        versions.upTo(entity, id, seq);
        put(found, seq, entity, id, stored);
      }
      readings += parts?.end() ?? 0;
      records += rows.length;
      desk.progress(records, total, `checking ${entity.replaceAll('_', ' ')} records`);
      desk.checkStop();
      if (rows.length < limit) break;
      after = end;
    }
    versions.endOf(entity);
  }
  versions.endOfAll();
  return { found, records, readings, versions: versions.count };
}

/** The rows that belong to events or plans of one chunk, handed out in step with their records. */
function partsOf(fleet: Desk['fleet'], entity: Entity, after: string, end: string, faults: Faults) {
  if (entity !== 'test_event' && entity !== 'plan') return undefined;
  const rows = entity === 'plan' ? planItemsBetween(fleet, after, end) : readingsBetween(fleet, after, end);
  const width = (entity === 'plan' ? planItemColumns : readingColumns).length + 1;
  let at = 0;
  const stray = () => {
    const owner = rows[at]![0] as string;
    faults.add(
      'reading',
      `belongs to a ${entity.replaceAll('_', ' ')} that does not exist: it was added, or its record removed`,
      {
        id: owner,
      },
    );
    at++;
  };
  return {
    of(id: string): string {
      while (at < rows.length && (rows[at]![0] as string) < id) stray();
      let text = '';
      for (; at < rows.length && rows[at]![0] === id; at++)
        text += text === '' ? `[${valuesText(rows[at]!, 1, width)}]` : `,[${valuesText(rows[at]!, 1, width)}]`;
      return text;
    },
    end(): number {
      while (at < rows.length) stray();
      return rows.length;
    },
  };
}

interface Version {
  readonly seq: number;
  readonly entity: string;
  readonly id: string;
  readonly before: string;
  readonly beforeSeq: number;
  readonly beforeDigest: Buffer;
}

/** Earlier versions, walked in step with the records they became. */
class Versions {
  readonly #byEntity = new Map<string, Version[]>();
  readonly #found: Found;
  readonly #faults: Faults;
  count = 0;

  constructor(fleet: Desk['fleet'], found: Found, faults: Faults) {
    this.#found = found;
    this.#faults = faults;
    for (const change of ledgerChanges(fleet)) {
      this.#check(change);
      const list = this.#byEntity.get(change.entity);
      // The text has been checked and is not needed again.
      const light = { ...change, before: '' };
      if (list) list.push(light);
      else this.#byEntity.set(change.entity, [light]);
      this.count++;
    }
    // Popped from the end: the smallest id last.
    for (const list of this.#byEntity.values())
      list.sort((a, b) => (a.id < b.id ? 1 : a.id > b.id ? -1 : b.seq - a.seq));
  }

  #check(change: Version): void {
    const wrong = (says: string) =>
      this.#faults.add('earlier version', says, {
        entity: change.entity as Entity,
        id: change.id,
        seq: change.seq,
        sealed: { digest: change.beforeDigest },
      });
    if (change.beforeSeq >= change.seq)
      wrong(`stands in the ledger as changed by line ${change.seq} before it was written`);
    let content: RecordValue[] | undefined;
    try {
      content = JSON.parse(change.before) as RecordValue[];
    } catch {}
    if (!Array.isArray(content) || JSON.stringify(content) !== change.before)
      wrong(`has an earlier version, kept by line ${change.seq}, that is no longer in its one form: it was changed`);
    else if (!recordDigest(change.entity, content).equals(change.beforeDigest))
      wrong(`has an earlier version, kept by line ${change.seq}, that was changed`);
    else if (content[0] !== change.id) wrong(`has an earlier version, kept by line ${change.seq}, of another record`);
  }

  /** Takes in the versions of this record, and of records before it that are no longer there. */
  upTo(entity: string, id: string, currentSeq: number): void {
    const list = this.#byEntity.get(entity);
    if (!list) return;
    while (list.length > 0 && list.at(-1)!.id < id) this.#gone(list.pop()!);
    const own: Version[] = [];
    while (list.at(-1)?.id === id) own.push(list.pop()!);
    const written = new Set([currentSeq, ...own.map((version) => version.beforeSeq)]);
    for (const version of own) {
      put(this.#found, version.beforeSeq, entity, id, version.beforeDigest);
      if (!written.has(version.seq))
        this.#faults.add(
          'earlier version',
          `has an earlier version kept by line ${version.seq}, and none that line ${version.seq} wrote`,
          {
            entity: entity as Entity,
            id,
            seq: version.seq,
          },
        );
    }
  }

  endOf(entity: string): void {
    for (const version of this.#byEntity.get(entity) ?? []) this.#gone(version);
    this.#byEntity.delete(entity);
  }

  #gone(version: Version): void {
    put(this.#found, version.beforeSeq, version.entity, version.id, version.beforeDigest);
    this.#faults.add('record', `was removed; line ${version.seq} keeps an earlier version of it`, {
      entity: version.entity as Entity,
      id: version.id,
      seq: version.seq,
    });
  }

  /** Versions of kinds of record that the program does not know. */
  endOfAll(): void {
    for (const entity of [...this.#byEntity.keys()]) this.endOf(entity);
  }
}
