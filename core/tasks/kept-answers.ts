import { keptDigest } from '../evidence/kept-digest.ts';
import { type KeptRow, keepAnswer, keptAnswer, keptRevision, lastLineBeside } from '../store/kept.ts';
import { revisionOf } from '../store/ledger.ts';
import type { Fleet } from '../store/sql.ts';
import type { Entity } from '../store/tables.ts';
import { type Desk, today } from './desk.ts';

/** A kind of answer that stands until a record is written that it may have been drawn from. */
export interface KeptKind {
  /** With its edition at the end, which is raised with every change of what it says. */
  readonly name: string;
  /**
   * Kinds of record of which it reads nothing. A line of the ledger that wrote any other kind, also one that nobody
   * thought of here, ends it.
   */
  readonly passesOver: readonly Entity[];
  /** How many are kept, for other days or questions. */
  readonly most?: number;
  /** Ended, it is still shown or counted on from: it stays in the file until there is a newer one. */
  readonly servesOn?: boolean;
}

const kinds = new Map<string, KeptKind>();

/** Declares a kind of answer. */
export function keptKind(kind: KeptKind): KeptKind {
  kinds.set(kind.name, kind);
  return kind;
}

/** Every kind that was declared. */
export const keptKinds = (): KeptKind[] => [...kinds.values()];

interface Known {
  readonly revision: number;
  readonly byKind: Map<KeptKind, number>;
}
const known = new WeakMap<Fleet, Known>();

/** The revision that an answer of this kind is of: the last ledger line that it may have been drawn from. */
export function revisionFor(fleet: Fleet, kind: KeptKind): number {
  // What a transaction has written may yet be undone, and another line come in its place.
  if (fleet.raw.inTransaction) return lastLineBeside(fleet, kind.passesOver);
  const revision = revisionOf(fleet);
  let here = known.get(fleet);
  if (here?.revision !== revision) {
    here = { revision, byKind: new Map() };
    known.set(fleet, here);
  }
  let line = here.byKind.get(kind);
  if (line === undefined) {
    line = lastLineBeside(fleet, kind.passesOver);
    here.byKind.set(kind, line);
  }
  return line;
}

/** The answer as it stands, or undefined. */
export const keptNow = (fleet: Fleet, kind: KeptKind, asked: string): KeptRow | undefined =>
  keptAnswer(fleet, kind.name, asked, revisionFor(fleet, kind));

/** Whether it is kept as it stands, without reading it. */
export const isKept = (fleet: Fleet, kind: KeptKind, asked: string): boolean =>
  (keptRevision(fleet, kind.name, asked) ?? -1) >= revisionFor(fleet, kind);

/** Keeps an answer with the fleet, where that may be written. `revision`: what it was drawn from, as it was before it was begun. */
export function keep(desk: Desk, kind: KeptKind, asked: string, revision: number, pack: () => Uint8Array): void {
  const { fleet } = desk;
  if (fleet.readOnly) return;
  const answer = { name: kind.name, asked, revision, madeAt: desk.now(), bytes: pack() };
  const head = revisionOf(fleet);
  keepAnswer(
    fleet,
    { ...answer, digest: keptDigest(answer) },
    {
      most: kind.most,
      stays({ name, asked: otherAsked, revision }) {
        const other = kinds.get(name);
        if (!other) return revision === head;
        if (revision >= revisionFor(fleet, other)) return true;
        // What a window shows or counts on from meanwhile is of today, or of no day at all.
        return other.servesOn === true && (other !== kind || (otherAsked !== asked && otherAsked === today(desk)));
      },
    },
  );
}
