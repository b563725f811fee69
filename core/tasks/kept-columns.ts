import { refuse } from '../contract/problem.ts';
import { type KeptRow, keptAnswer, keptRevision } from '../store/kept.ts';
import type { Fleet } from '../store/sql.ts';
import type { Desk } from './desk.ts';
import { type KeptKind, keep } from './kept-answers.ts';
import { type Packable, pack, unpack } from './pack.ts';

/** Columns of an answer that few asks need: kept beside it, and read when one of them is first asked for. */
export interface LaterColumns {
  readonly kind: KeptKind;
  readonly names: readonly string[];
}

interface Columns {
  readonly [name: string]: Packable;
}

/** Keeps an answer and its later columns: the answer last, so that where it stands they do too. */
export function keepColumns(
  desk: Desk,
  kind: KeptKind,
  later: readonly LaterColumns[],
  answer: { readonly asked: string; readonly revision: number; readonly facts: object; readonly columns: Columns },
): void {
  const { asked, revision, facts, columns } = answer;
  const some = (of: (name: string) => boolean): Columns =>
    Object.fromEntries(Object.entries(columns).filter(([name]) => of(name)));
  for (const { kind, names } of later)
    keep(desk, kind, asked, revision, () =>
      pack(
        null,
        some((name) => names.includes(name)),
      ),
    );
  const isLater = (name: string) => later.some(({ names }) => names.includes(name));
  keep(desk, kind, asked, revision, () =>
    pack(
      facts,
      some((name) => !isLater(name)),
    ),
  );
}

/** Facts and columns of a kept answer; null where its later columns are not there, as after a program that knew none. */
export function openColumns(
  fleet: Fleet,
  later: readonly LaterColumns[],
  asked: string,
  { revision, bytes }: KeptRow,
): object | null {
  const { plain, columns } = unpack(bytes);
  const answer = { ...(plain as object), ...columns };
  for (const { kind, names } of later) {
    if (names.every((name) => name in columns)) continue;
    if (keptRevision(fleet, kind.name, asked) !== revision) return null;
    let read: Columns | undefined;
    const columnsRead = (): Columns => {
      read ??= laterRead(fleet, kind, asked, revision);
      return read;
    };
    for (const name of names) Object.defineProperty(answer, name, { enumerable: true, get: () => columnsRead()[name] });
  }
  return answer;
}

function laterRead(fleet: Fleet, kind: KeptKind, asked: string, revision: number): Columns {
  const row = keptAnswer(fleet, kind.name, asked, revision);
  // Another answer has taken its place since.
  if (row?.revision !== revision) throw refuse('not-ready', 'The ranking of this revision is not made yet.');
  return unpack(row.bytes).columns;
}
