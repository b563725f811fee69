import { locate, locatorOf, placeOf, weightOf } from './locator.ts';
import { entryBytes, idText, type RecordList, rowsDigest, shortEntries } from './record-list.ts';

/** Entries in one stored part of a line's list. */
const partEntries = 4096;

export interface ListPart {
  readonly part: number;
  readonly entity: string;
  readonly entries: Uint8Array;
}

/** A line's list of records as it is stored: by kind in alphabetical order, in parts small enough to read one at a time. */
export function* listParts(lists: ReadonlyMap<string, RecordList>): Generator<ListPart> {
  let part = 0;
  for (const entity of [...lists.keys()].sort()) {
    const entries = shortEntries(lists.get(entity)!.sorted());
    for (let at = 0; at < entries.length; at += partEntries * entryBytes)
      yield { part: part++, entity, entries: entries.subarray(at, at + partEntries * entryBytes) };
  }
}

/** How a record differs from what the line sealed. `unknown`: one of the line's records, and nothing tells which. */
export interface Difference {
  readonly how: 'changed' | 'added' | 'removed' | 'unknown';
  readonly entity: string;
  /** '' where it cannot be told. */
  readonly id: string;
  /** First 8 bytes of the digest that was sealed, where the list still holds it. */
  readonly sealedStart: Uint8Array | null;
  /** The number that the sealed digest's first 31 bits gave, where only the sums tell. */
  readonly sealedWeight: number | null;
}

export interface SealedRecords {
  readonly rowsDigest: Uint8Array | null;
  readonly rowsLocator: Uint8Array | null;
  readonly parts: readonly ListPart[];
}

const same = (a: Uint8Array | null, b: Uint8Array | null) =>
  a === null || b === null ? a === b : Buffer.compare(a, b) === 0;

/**
 * Compares what a line says it wrote with what is found of it: records now at that line, and earlier versions of records
 * that later lines changed. `list` tells whether the line's own list is as it was written; where only that is wrong,
 * `inList` says what it has wrongly.
 */
export function compareLine(
  sealed: SealedRecords,
  found: ReadonlyMap<string, RecordList>,
): { readonly differences: Difference[]; readonly inList: Difference[]; readonly list: boolean } {
  const expected = [...listParts(found)];
  const list =
    expected.length === sealed.parts.length &&
    expected.every((part, i) => {
      const stored = sealed.parts[i]!;
      return part.part === stored.part && part.entity === stored.entity && same(part.entries, stored.entries);
    });
  const sorted = [...found.values()].map((records) => records.sorted());
  const locator = found.size > 0 ? locatorOf(sorted) : null;
  const agrees =
    same(sealed.rowsDigest, found.size > 0 ? rowsDigest(found) : null) && same(sealed.rowsLocator, locator);
  const differences = list ? [] : differencesByList(sealed.parts, expected);
  if (agrees) return { differences: [], inList: differences, list };
  if (differences.length === 0) differences.push(bySums(sealed, found, locator));
  return { differences, inList: [], list };
}

function differencesByList(sealed: readonly ListPart[], found: readonly ListPart[]): Difference[] {
  const was = entriesOf(sealed);
  const is = entriesOf(found);
  const differences: Difference[] = [];
  for (const [key, entry] of was) {
    const now = is.get(key);
    if (now && same(now.start, entry.start)) continue;
    differences.push({
      how: now ? 'changed' : 'removed',
      entity: entry.entity,
      id: entry.id,
      sealedStart: entry.start,
      sealedWeight: null,
    });
  }
  for (const [key, entry] of is)
    if (!was.has(key))
      differences.push({ how: 'added', entity: entry.entity, id: entry.id, sealedStart: null, sealedWeight: null });
  return differences;
}

function entriesOf(parts: readonly ListPart[]) {
  const entries = new Map<string, { entity: string; id: string; start: Uint8Array }>();
  for (const { entity, entries: bytes } of parts)
    for (let at = 0; at + entryBytes <= bytes.length; at += entryBytes) {
      const id = idText(bytes.subarray(at, at + 16));
      entries.set(`${entity} ${id}`, { entity, id, start: bytes.subarray(at + 16, at + entryBytes) });
    }
  return entries;
}

/** Records and list agree with each other and not with the seal: the sealed sums tell which record it was, if only one. */
function bySums(sealed: SealedRecords, found: ReadonlyMap<string, RecordList>, locator: Uint8Array | null): Difference {
  const nobody = { entity: '', id: '', sealedStart: null, sealedWeight: null };
  if (!sealed.rowsLocator) return { how: 'unknown', ...nobody };
  const located = locate(sealed.rowsLocator, locator ?? Buffer.alloc(12));
  if (!located.one) return { how: 'unknown', ...nobody };
  for (const [entity, records] of found) {
    const entries = records.sorted();
    for (let at = 0; at < entries.length; at += 48) {
      const entry = entries.subarray(at, at + 48);
      if (placeOf(entry) !== located.place) continue;
      const was = located.was(weightOf(entry));
      return { how: was === 0 ? 'added' : 'changed', entity, id: idText(entry), sealedStart: null, sealedWeight: was };
    }
  }
  return { how: 'removed', ...nobody, sealedWeight: located.was(0) };
}
