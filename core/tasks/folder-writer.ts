import { recordDigest } from '../evidence/canonical.ts';
import type { Complain } from '../intake/cell.ts';
import { columnAt, type Subject, type SubjectName, type Value } from '../intake/column.ts';
import { type Cell, holdsAny, limitFor, recordAdder, recordByOwnerId } from '../store/import.ts';
import { recordColumns } from '../store/record-columns.ts';
import type { AnyRow, RecordOf } from '../store/records.ts';
import type { RecordTables } from '../store/tables.ts';
import { type LengthUnit, lengthToKm } from '../trade/units.ts';
import { type Adder, type FolderDesk, isReferred, type Referred } from './folder-desk.ts';

export type Verdict = 'added' | 'changed' | 'same' | 'refused';

/** Subjects whose rows become one record each; tests have a writer of their own. */
type RowEntity = Exclude<Subject['entity'], 'test_event'>;

/** Where the value of a column of the fleet file comes from. */
type Origin =
  | { readonly from: 'cell'; readonly at: number }
  | { readonly from: 'ref'; readonly at: number; readonly to: SubjectName }
  | { readonly from: 'length'; readonly at: number; readonly unitAt: number }
  | { readonly from: 'fixed'; readonly value: string }
  | { readonly from: 'kept'; readonly value: string | null };

export const limitSource = 'owner, limits.csv';

/** Takes rows of one subject into the fleet: new, changed or the same as what is there. */
export class SubjectWriter {
  readonly subject: Subject;
  readonly #desk: FolderDesk;
  readonly #entity: RowEntity;
  readonly #origins: readonly Origin[];
  readonly #add: Adder;
  readonly #anyBefore: boolean;
  readonly #own: Map<string, string> | null;
  /** Rows referred to within their own file before they stood there: owner's id → id and who asked. */
  readonly #promised = new Map<string, { id: string; complain: () => void }>();

  constructor(desk: FolderDesk, subject: Subject) {
    this.subject = subject;
    this.#desk = desk;
    this.#entity = subject.entity as RowEntity;
    this.#origins = originsOf(subject, desk.today);
    this.#add = desk.adder(recordAdder(desk.fleet, this.#entity));
    this.#anyBefore = holdsAny(desk.fleet, this.#entity);
    this.#own = isReferred(subject.name) ? desk.ids(subject.name) : null;
  }

  /** `absent` marks columns that the file does not have: they stay as they are. */
  take(values: readonly Value[], absent: readonly boolean[] | null, complain: Complain): Verdict {
    const owner = values[this.subject.keyAt] as string;
    const before = this.#anyBefore ? this.#existing(owner) : undefined;
    const id = before?.id ?? this.#promised.get(owner)?.id ?? this.#desk.newId();
    const row = this.#rowOf(id, owner, values, before as AnyRow | undefined, absent, complain);
    if (row === null || (before && absent && !this.#inOrder(row, complain))) return 'refused';
    this.#own?.set(owner, id);
    this.#promised.delete(owner);
    const digest = recordDigest(this.#entity, row as (string | number | null)[]);
    if (!before) {
      if (this.#desk.writing) {
        this.#add(row, [this.#desk.change!.seq, digest]);
        this.#desk.change!.wrote(this.#entity, id, digest);
      }
      return 'added';
    }
    if (digest.equals(before.digest)) return 'same';
    if (this.#desk.writing) this.#update(before, row);
    return 'changed';
  }

  /** A refused row's id still counts as known, so that rows referring to it are not refused for its sake. */
  refused(owner: string): void {
    this.#promised.delete(owner);
    if (this.#own && owner !== '' && !this.#own.has(owner)) this.#own.set(owner, this.#desk.newId());
  }

  /** After the last row: complains of references to rows that never came. */
  end(): void {
    for (const { complain } of this.#promised.values()) complain();
  }

  #existing(owner: string): (RecordTables[RowEntity] & { id: string }) | undefined {
    if (this.#entity === 'leakage_limit') return limitFor(this.#desk.fleet, owner);
    return recordByOwnerId(this.#desk.fleet, this.#entity, owner);
  }

  #rowOf(
    id: string,
    owner: string,
    values: readonly Value[],
    before: AnyRow | undefined,
    absent: readonly boolean[] | null,
    complain: Complain,
  ): Cell[] | null {
    const columns = recordColumns[this.#entity];
    const row: Cell[] = new Array(columns.length);
    row[0] = id;
    let fine = true;
    for (let i = 1; i < columns.length; i++) {
      const origin = this.#origins[i]!;
      const keep = before !== undefined && (origin.from === 'kept' || ('at' in origin && absent?.[origin.at] === true));
      if (keep) {
        row[i] = before[columns[i]!] as Cell;
        continue;
      }
      const value = this.#valueOf(origin, owner, values, complain);
      if (value === undefined) fine = false;
      else row[i] = value;
    }
    return fine ? row : null;
  }

  /** Days of the file beside days kept from before: still in order? */
  #inOrder(row: readonly Cell[], complain: Complain): boolean {
    const columns: readonly string[] = recordColumns[this.#entity];
    return this.subject.spans.every(({ name, until }) => {
      const [a, b] = [row[columns.indexOf(name)]!, row[columns.indexOf(until)]!];
      if (a === null || b === null || b >= a) return true;
      complain(until, String(b), `It lies before ${name} ${a}, which the fleet holds or the row says.`);
      return false;
    });
  }

  #valueOf(origin: Origin, owner: string, values: readonly Value[], complain: Complain): Cell | undefined {
    switch (origin.from) {
      case 'cell':
        return values[origin.at]!;
      case 'length':
        return lengthM(values[origin.at] as number, values[origin.unitAt] as LengthUnit);
      case 'ref':
        return this.#resolve(origin.at, origin.to, owner, values[origin.at] as string | null, complain);
      default:
        return origin.value;
    }
  }

  #resolve(at: number, to: SubjectName, owner: string, named: string | null, complain: Complain): Cell | undefined {
    if (named === null) return null;
    const column = this.subject.columns[at]!.name;
    if (to === this.subject.name) return this.#resolveOwn(column, owner, named, complain);
    const id = this.#desk.ids(to as Referred).get(named);
    if (id === undefined) complain(column, named, unknownWords(to, named));
    return id;
  }

  #resolveOwn(column: string, owner: string, named: string, complain: Complain): Cell | undefined {
    if (named === owner) {
      complain(column, named, 'It names itself. Name the one it took the place of, or leave the cell empty.');
      return undefined;
    }
    const id = this.#own!.get(named) ?? this.#promised.get(named)?.id;
    if (id !== undefined) return id;
    const promise = this.#desk.newId();
    const words = unknownWords(this.subject.name, named);
    const where = complain;
    this.#promised.set(named, { id: promise, complain: () => where(column, named, words) });
    return promise;
  }

  #update(before: RecordTables[RowEntity] & { id: string }, row: readonly Cell[]): void {
    const after: Record<string, Cell> = {};
    recordColumns[this.#entity].forEach((column, i) => {
      after[column] = row[i]!;
    });
    if ('set_on' in after) after.set_on = this.#desk.today;
    this.#desk.change!.update(
      this.#entity,
      before as never,
      after as unknown as RecordOf<RowEntity> & { id: string } as never,
    );
  }
}

export const unknownWords = (to: SubjectName, named: string): string =>
  `Neither ${to}.csv nor the fleet has '${named}'. Add it to ${to}.csv, or name one that is there.`;

/** Metres; exact for metres, and for the others one multiplication. */
export const lengthM = (length: number, unit: LengthUnit): number =>
  unit === 'm' ? length : lengthToKm(length, unit) * 1000;

function originsOf(subject: Subject, today: string): Origin[] {
  return recordColumns[subject.entity].map((stored): Origin => {
    if (stored === 'length_m')
      return { from: 'length', at: columnAt(subject, 'length'), unitAt: columnAt(subject, 'length_unit') };
    if (subject.entity === 'leakage_limit' && stored === 'source') return { from: 'fixed', value: limitSource };
    if (stored === 'set_on') return { from: 'kept', value: today };
    const at = subject.columns.findIndex((column) => column.stored === stored);
    if (at < 0) return { from: 'kept', value: null };
    const to = subject.columns[at]!.refersTo;
    return to ? { from: 'ref', at, to } : { from: 'cell', at };
  });
}
