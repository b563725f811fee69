import { type Fleet, prepared } from './sql.ts';
import type { Entity } from './tables.ts';

export interface KeptRow {
  readonly revision: number;
  readonly digest: Uint8Array;
  readonly bytes: Uint8Array;
}

/** The answer that is kept now, where it was made for this revision or a later one; undefined where there is none. */
export function keptAnswer(fleet: Fleet, name: string, asked: string, least: number): KeptRow | undefined {
  return prepared(fleet, 'select revision, digest, bytes from kept where name = ? and asked = ? and revision >= ?').get(
    name,
    asked,
    least,
  ) as KeptRow | undefined;
}

/** For which revision an answer is kept, without reading it. */
export const keptRevision = (fleet: Fleet, name: string, asked: string): number | undefined =>
  prepared(fleet, 'select revision from kept where name = ? and asked = ?').pluck().get(name, asked) as
    | number
    | undefined;

/** The last ledger line that wrote a record of any kind but these; 0 where there is none. */
export function lastLineBeside(fleet: Fleet, passedOver: readonly Entity[]): number {
  const seq = prepared(
    fleet,
    'select seq from ledger_list where entity not in (select value from json_each(?)) order by seq desc limit 1',
  )
    .pluck()
    .get(JSON.stringify(passedOver)) as number | undefined;
  return seq ?? 0;
}

/** Of one kind of answer, so many are kept where nothing else is said: those of today, of a year before, and two other days. */
const mostOfAKind = 4;

export interface KeptMark {
  readonly name: string;
  readonly asked: string;
  readonly revision: number;
}

interface Keeping {
  readonly most?: number | undefined;
  /** Whether an answer, of this kind or another, may stay; where it is not said, those that were made for this revision. */
  readonly stays?: ((other: KeptMark) => boolean) | undefined;
}

/**
 * Keeps an answer, and drops those that may not stay, those of other editions of its kind ('standings, edition 3') and
 * the oldest ones: a fleet that is only looked at, day after day, must not grow by it.
 */
export function keepAnswer(
  fleet: Fleet,
  answer: { name: string; asked: string; revision: number; madeAt: string; digest: Uint8Array; bytes: Uint8Array },
  { most = mostOfAKind, stays = ({ revision }) => revision === answer.revision }: Keeping = {},
): void {
  const kindOf = (name: string) => name.replace(/\d+$/, '');
  const isOver = (other: KeptMark) =>
    (other.name !== answer.name && kindOf(other.name) === kindOf(answer.name)) || !stays(other);
  fleet.raw
    .transaction(() => {
      const marks = prepared(fleet, 'select name, asked, revision from kept').all() as KeptMark[];
      for (const { name, asked } of marks.filter(isOver))
        prepared(fleet, 'delete from kept where name = ? and asked = ?').run(name, asked);
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
