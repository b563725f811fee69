import type { RecordValue } from '../evidence/canonical.ts';
import { digestOfText } from '../evidence/content-text.ts';
import { type Place, type Recalled, recall } from '../evidence/recall.ts';
import { planItemColumns, readingColumns, recordColumns } from '../store/record-columns.ts';
import { planItemsOf, readingsOfEvent, recordById } from '../store/records.ts';
import type { Fleet } from '../store/sql.ts';
import type { Entity } from '../store/tables.ts';
import { describeRecord, ledgerLine, valuesIn } from '../store/verify.ts';
import { contentOf } from './content.ts';
import type { Fault, SealedTrace } from './evidence-faults.ts';

export interface Wrong {
  readonly kind: Fault['kind'];
  /** Which record it is, in words. */
  readonly name: string;
  readonly id: string | null;
  readonly line: number | null;
  /** A sentence. */
  readonly says: string;
  /** What the record said before, where that can be told. */
  readonly before: string | null;
}

/** Values tried for each of the first wrong records before giving up: about a second. */
const tries = 400_000;

/** The fault in words; with `searching`, what the record said before is looked for. */
export function inWords(fleet: Fleet, fault: Fault, searching: boolean): Wrong {
  const name = nameOf(fleet, fault);
  return {
    kind: fault.kind,
    name,
    id: fault.id,
    line: fault.seq,
    says: `${name[0]!.toUpperCase()}${name.slice(1)}${fault.kind === 'database' || fault.kind === 'schema' || fault.kind === 'head' ? ': ' : ' '}${fault.says}.`,
    before: searching && fault.kind === 'record' ? whatItSaid(fleet, fault) : null,
  };
}

function nameOf(fleet: Fleet, { kind, entity, id, seq }: Fault): string {
  if (entity !== null && id !== null && entity in recordColumns)
    return describeRecord(fleet, entity, id) ?? `${entity.replaceAll('_', ' ')} with key ${id}`;
  if (kind === 'ledger line' && seq !== null) {
    const line = ledgerLine(fleet, seq);
    return line ? `ledger line ${seq} (${line.at}, ${line.who}, ${line.what})` : `ledger line ${seq}`;
  }
  if (kind === 'reading') return `a reading of ${id}`;
  if (kind === 'kept answer') return `the kept answer '${id}'`;
  if (kind === 'signature') return seq === null ? 'a signature' : `the signature of ledger line ${seq}`;
  if (kind === 'database') return 'the file';
  return kind === 'head' ? 'the head given' : `the ${kind}`;
}

/** From the line's own words where it has them, else by searching for the one value that gives the sealed digest. */
function whatItSaid(fleet: Fleet, fault: Fault): string | null {
  const { entity, id, sealed, seq } = fault;
  if (!entity || !id || !sealed) return null;
  const line = seq === null ? undefined : ledgerLine(fleet, seq);
  const told = line?.entity === entity && line.entityId === id && line.after ? `Line ${seq} says: ${line.after}` : null;
  const row = recordById(fleet, entity, id);
  if (!row) return told;
  const parts =
    entity === 'test_event' ? readingsOfEvent(fleet, id) : entity === 'plan' ? planItemsOf(fleet, id) : undefined;
  const content = contentOf(entity, row as never, parts as never);
  const matches = matcher(entity, sealed);
  if (matches(JSON.stringify(content).slice(1, -1)))
    return 'The record itself says what was sealed; its digest was changed.';
  const found = recall(content, placesIn(fleet, entity, parts?.length ?? 0), matches, tries);
  if (!found) return told;
  return `${sealed.start || sealed.digest ? 'Before' : 'Most likely, before'}: ${recalledWords(found, parts)}.`;
}

/** Compares with the most that is left of the sealed digest; the ledger's list is believed before the record's own mark. */
function matcher(entity: Entity, { digest, start, weight }: SealedTrace): (text: string) => boolean {
  if (start) return (text) => digestOfText(entity, text).compare(start, 0, 8, 0, 8) === 0;
  if (digest) return (text) => digestOfText(entity, text).equals(digest);
  return (text) => (digestOfText(entity, text).readUInt32BE(0) & 0x7fffffff) % 0x7fffffff === weight;
}

const twins: { readonly [column: string]: string } = {
  leakage_ua: 'leakage_typed',
  leakage_typed: 'leakage_ua',
  length_m: 'length_typed',
  length_typed: 'length_m',
};

function placesIn(fleet: Fleet, entity: Entity, parts: number): Place[] {
  const own: readonly string[] = recordColumns[entity];
  const places: Place[] = [];
  const place = (table: Entity | 'reading' | 'plan_item', columns: readonly string[], path: readonly number[]) => {
    for (const [i, column] of columns.entries()) {
      const twin = columns.indexOf(twins[column] ?? '');
      const seen =
        column === 'id' || column === 'sha256' || column === 'bytes' || column === 'samples'
          ? []
          : seenIn(fleet, table, column);
      places.push({ column, path: [...path, i], seen, ...(twin >= 0 ? { twin: [...path, twin] } : {}) });
    }
  };
  if (entity === 'test_event') for (let r = 0; r < parts; r++) place('reading', readingColumns, [own.length, r]);
  if (entity === 'plan') for (let r = 0; r < parts; r++) place('plan_item', planItemColumns, [own.length, r]);
  place(entity, own, []);
  return places;
}

const seenIn = (fleet: Fleet, table: Entity | 'reading' | 'plan_item', column: string): RecordValue[] =>
  valuesIn(fleet, table, column).map((value) => (typeof value === 'object' ? null : value));

function recalledWords({ column, path, was, is }: Recalled, parts: readonly object[] | undefined): string {
  const part = path.length > 1 ? (parts?.[path[1]!] as { phase?: string; step?: number } | undefined) : undefined;
  const where = part?.phase ? ` of phase ${part.phase}, step ${part.step}` : '';
  return `${column}${where} was ${said(was)}, now ${said(is)}`;
}

const said = (value: RecordValue) => (value === null ? 'unknown' : String(value));
