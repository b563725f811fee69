import { type Fleet, prepared } from './sql.ts';

export interface KeptRow {
  readonly revision: number;
  readonly digest: Uint8Array;
  readonly bytes: Uint8Array;
}

/** An answer kept for this revision, or undefined. */
export function keptAnswer(fleet: Fleet, name: string, asked: string, revision: number): KeptRow | undefined {
  return prepared(fleet, 'select revision, digest, bytes from kept where name = ? and asked = ? and revision = ?').get(
    name,
    asked,
    revision,
  ) as KeptRow | undefined;
}

/** The answer that is kept now, made for a later revision than one; undefined where there is none. */
export function keptSince(fleet: Fleet, name: string, asked: string, after: number): KeptRow | undefined {
  return prepared(fleet, 'select revision, digest, bytes from kept where name = ? and asked = ? and revision > ?').get(
    name,
    asked,
    after,
  ) as KeptRow | undefined;
}

/** For which revision an answer is kept, without reading it. */
export const keptRevision = (fleet: Fleet, name: string, asked: string): number | undefined =>
  prepared(fleet, 'select revision from kept where name = ? and asked = ?').pluck().get(name, asked) as
    | number
    | undefined;

/** Of one kind of answer, so many are kept where nothing else is said: those of today, of a year before, and two other days. */
const mostOfAKind = 4;

/**
 * Keeps an answer, and drops those made for other revisions, those of other editions of its kind ('standings, edition
 * 3') and the oldest ones: a fleet that is only looked at, day after day, must not grow by it.
 */
export function keepAnswer(
  fleet: Fleet,
  answer: { name: string; asked: string; revision: number; madeAt: string; digest: Uint8Array; bytes: Uint8Array },
  most = mostOfAKind,
): void {
  const kind = answer.name.replace(/\d+$/, '');
  fleet.raw
    .transaction(() => {
      prepared(fleet, 'delete from kept where revision <> ? or (name <> ? and substr(name, 1, ?) = ?)').run(
        answer.revision,
        answer.name,
        kind.length,
        kind,
      );
      prepared(
        fleet,
        'insert or replace into kept (name, asked, revision, made_at, digest, bytes) values (?, ?, ?, ?, ?, ?)',
      ).run(answer.name, answer.asked, answer.revision, answer.madeAt, answer.digest, answer.bytes);
      prepared(
        fleet,
        `delete from kept where name = ? and asked not in
           (select asked from kept where name = ? order by made_at desc, rowid desc limit ?)`,
      ).run(answer.name, answer.name, most);
    })
    .immediate();
}
