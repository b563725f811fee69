import { brotliCompressSync, constants } from 'node:zlib';
import type { SourceFileId } from '../contract/ids.ts';
import { refuse } from '../contract/problem.ts';
import { revisionOf } from '../store/ledger.ts';
import { type AsideRow, fileBySha256, filesAside } from '../store/records-files.ts';
import { type Change, changing } from './change.ts';
import { givenRecords } from './records-files.ts';
import { type GivenFile, keyOf } from './records-given.ts';
import type { Task } from './task.ts';

/** Why a file lies aside: as a person said, or as the import that brought it found. */
export function asideWords({ name, why, line }: AsideRow): string {
  if (why !== null) return why;
  const { aside } = JSON.parse(line ?? '{}') as { aside?: { file: string; reason: string }[] };
  return aside?.find((one) => one.file === name)?.reason ?? 'its import could not tell whose it is';
}

export const listAside: Task<'records.aside'> = (desk) => ({
  files: filesAside(desk.fleet).map(({ line, ...row }) => ({
    ...row,
    id: row.id as SourceFileId,
    why: asideWords({ ...row, line }),
  })),
});

/** Keeps the bytes of a file as they came, once; gives its id and whether it is new. */
export function keepFile(change: Change, given: GivenFile): { readonly id: string; readonly added: boolean } {
  const sha256 = Buffer.from(keyOf(given.bytes), 'hex');
  const kept = fileBySha256(change.desk.fleet, sha256);
  if (kept) return { id: kept.id, added: false };
  const bytes = brotliCompressSync(given.bytes, {
    params: { [constants.BROTLI_PARAM_QUALITY]: 9, [constants.BROTLI_PARAM_SIZE_HINT]: given.bytes.length },
  });
  const smaller = bytes.length < given.bytes.length;
  const id = change.add('source_file', {
    sha256,
    name: given.name,
    media_type: mediaTypeOf(given.name),
    byte_count: given.bytes.length,
    compression: smaller ? 'brotli' : 'none',
    bytes: smaller ? bytes : Buffer.from(given.bytes),
    received_at: change.desk.now(),
  });
  return { id, added: true };
}

const mediaTypes: Readonly<Record<string, string>> = {
  csv: 'text/csv',
  txt: 'text/plain',
  log: 'text/plain',
  dat: 'text/plain',
  xlsx: 'application/vnd.openxmlformats-officedocument.spreadsheetml.sheet',
};
const mediaTypeOf = (name: string): string =>
  mediaTypes[name.split('.').at(-1)!.toLowerCase()] ?? 'application/octet-stream';

/** Each file has a line of its own in the ledger, with the reason. */
export const returnRecords: Task<'records.return'> = async (desk, { files, ...places }) => {
  const reasons = new Map(files.map(({ key, reason }) => [key, reason]));
  let returned = 0;
  for (const given of (await givenRecords(desk.fleet, places)).testers) {
    if ('because' in given) continue;
    const reason = reasons.get(keyOf(given.bytes));
    if (reason === undefined) continue;
    reasons.delete(keyOf(given.bytes));
    changing(desk, (change) => {
      const { id, added } = keepFile(change, given);
      const after = { file: given.name, sha256: keyOf(given.bytes), kept: added ? 'now' : 'before' };
      change.seal({ what: 'return record', why: reason }, { entity: 'source_file', id, before: null, after });
    });
    returned++;
  }
  if (returned === 0) throw refuse('moved-on', 'None of these files is there any more. Look at them again.');
  return { revision: revisionOf(desk.fleet), returned };
};
