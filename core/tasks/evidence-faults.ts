import type { Entity } from '../store/tables.ts';

export type FaultKind =
  | 'database'
  | 'schema'
  | 'ledger line'
  | 'record'
  | 'earlier version'
  | 'reading'
  | 'stored file'
  | 'trace'
  | 'signature'
  | 'kept answer'
  | 'head'
  | 'bag';

/** What is left of the digest that was sealed for a record: all of it, its first 8 bytes, or its first 31 bits. */
export interface SealedTrace {
  readonly digest?: Uint8Array | undefined;
  readonly start?: Uint8Array | undefined;
  readonly weight?: number | undefined;
}

export interface Fault {
  readonly kind: FaultKind;
  readonly entity: Entity | null;
  readonly id: string | null;
  readonly seq: number | null;
  /** What is wrong, as the end of a sentence that begins with the record's name. */
  readonly says: string;
  readonly sealed: SealedTrace | null;
}

/** Faults shown one by one; beyond these they are counted. */
const shown = 200;

/** Everything found wrong, each record once, in the order in which it was found. */
export class Faults {
  readonly #byKey = new Map<string, Fault>();
  #count = 0;

  get count(): number {
    return this.#count;
  }

  get list(): readonly Fault[] {
    return [...this.#byKey.values()];
  }

  add(
    kind: FaultKind,
    says: string,
    about: { entity?: Entity; id?: string; seq?: number | null; sealed?: SealedTrace } = {},
  ): void {
    const key = about.id ? `${about.entity ?? kind} ${about.id}` : `${kind} ${about.seq ?? ''} ${says}`;
    const before = this.#byKey.get(key);
    if (before) {
      if (about.sealed) this.#byKey.set(key, { ...before, sealed: { ...before.sealed, ...about.sealed } });
      return;
    }
    this.#count++;
    if (this.#byKey.size >= shown) return;
    this.#byKey.set(key, {
      kind,
      entity: about.entity ?? null,
      id: about.id ?? null,
      seq: about.seq ?? null,
      says,
      sealed: about.sealed ?? null,
    });
  }

  /** Is this record named already? */
  has(entity: string, id: string): boolean {
    return this.#byKey.has(`${entity} ${id}`);
  }
}
