import type { SubjectName } from '../intake/column.ts';
import type { Cell, RowAdder } from '../store/import.ts';
import { idsByOwnerId } from '../store/records.ts';
import type { Fleet } from '../store/sql.ts';
import type { Change } from './change.ts';

/** Subjects that others refer to, and the kind of record each is kept as. */
const entityOf = {
  substations: 'substation',
  feeders: 'feeder',
  segments: 'segment',
  instruments: 'instrument',
} as const;
export type Referred = keyof typeof entityOf;
export const isReferred = (name: SubjectName): name is Referred => name in entityOf;
export const referredEntity = (name: Referred) => entityOf[name];

export type Adder = (head: readonly Cell[], tail: readonly Cell[]) => void;

/** What a whole import shares: the fleet, the change it writes into (null: say, write nothing), ids by owner's ids. */
export class FolderDesk {
  readonly fleet: Fleet;
  readonly change: Change | null;
  readonly newId: () => string;
  readonly today: string;
  /** Once a row is refused nothing more is written; the rest is still checked. */
  writing: boolean;
  readonly #ids = new Map<Referred, Map<string, string>>();
  readonly #adders: RowAdder[] = [];

  constructor(fleet: Fleet, change: Change | null, newId: () => string, today: string) {
    this.fleet = fleet;
    this.change = change;
    this.newId = newId;
    this.today = today;
    this.writing = change !== null;
  }

  /** Where rows of a table are to be added; made after those of the tables it refers to. */
  adder(adder: RowAdder): Adder {
    const place = this.#adders.push(adder);
    return (head, tail) => {
      if (adder.add(head, tail)) this.#flush(place);
    };
  }

  /** Writes all rows that still wait. */
  flush(): void {
    this.#flush(this.#adders.length);
  }

  /** A row's references are added before the row. */
  #flush(upTo: number): void {
    for (let i = 0; i < upTo; i++) this.#adders[i]!.flush();
  }

  /** Ids of a subject's records by the owner's ids, those of this import among them. */
  ids(subject: Referred): Map<string, string> {
    let map = this.#ids.get(subject);
    if (!map) {
      map = idsByOwnerId(this.fleet, entityOf[subject]);
      this.#ids.set(subject, map);
    }
    return map;
  }
}
