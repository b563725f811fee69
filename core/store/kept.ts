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

/** Keeps an answer and drops those made for other revisions. */
export function keepAnswer(
  fleet: Fleet,
  answer: { name: string; asked: string; revision: number; madeAt: string; digest: Uint8Array; bytes: Uint8Array },
): void {
  fleet.raw
    .transaction(() => {
      prepared(fleet, 'delete from kept where revision <> ?').run(answer.revision);
      prepared(
        fleet,
        'insert or replace into kept (name, asked, revision, made_at, digest, bytes) values (?, ?, ?, ?, ?, ?)',
      ).run(answer.name, answer.asked, answer.revision, answer.madeAt, answer.digest, answer.bytes);
    })
    .immediate();
}
