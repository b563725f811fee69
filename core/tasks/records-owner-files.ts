import { bareName } from '../intake/matching/similar-names.ts';
import { findOwnerTable, gridsOf } from '../intake/tables/find-table.ts';
import { finished, guessLayout, valuesOf } from '../intake/tables/guess.ts';
import type { Known, OwnerTable, SubjectRows, TableLayout } from '../intake/tables/shapes.ts';
import { type CalledRow, calledRows, layoutOf } from '../store/records-match.ts';
import type { Fleet } from '../store/sql.ts';
import { type GivenFile, keyOf } from './records-given.ts';

/** A table of the owner's own making, and how it is read. */
export interface OwnerFile {
  /** SHA-256 of the file, and the sheet. */
  readonly key: string;
  readonly sha256: string;
  /** The file's name, with the sheet's where there are several. */
  readonly name: string;
  readonly table: OwnerTable;
  readonly layout: TableLayout;
  readonly remembered: boolean;
}

/** What layouts of owners' tables are kept as. */
export const tableKind = 'table';

/** The tables in a file; none where it holds something else. */
export async function ownerTables(fleet: Fleet, given: GivenFile): Promise<OwnerFile[]> {
  const sha256 = keyOf(given.bytes);
  const grids = await gridsOf(given.bytes);
  const found: OwnerFile[] = [];
  for (const grid of grids) {
    const table = findOwnerTable(grid);
    const guess = table && guessLayout(table, `${given.name} ${grid.sheet ?? ''}`);
    if (!table || !guess) continue;
    const kept = keptTableLayout(fleet, guess.fingerprint);
    found.push({
      key: grid.sheet === null ? sha256 : `${sha256}#${grid.sheet}`,
      sha256,
      name: grids.length > 1 ? `${given.name}, ${grid.sheet}` : given.name,
      table,
      layout: kept ? again(table, kept) : guess,
      remembered: kept !== null,
    });
  }
  return found;
}

const keptTableLayout = (fleet: Fleet, fingerprint: string): TableLayout | null => {
  const row = layoutOf(fleet, fingerprint);
  return row?.subject === tableKind ? (JSON.parse(row.layout) as TableLayout) : null;
};

/** A kept layout on another table of the same header: what is open is looked at anew. */
const again = (table: OwnerTable, kept: TableLayout): TableLayout =>
  finished(table, kept.subject, kept.columns, valuesOf(table), kept.decimal, kept);

/** Ids by what owners call things; two things of one name are none. */
class Names {
  readonly #ids = new Map<string, string | null>();

  constructor(rows: readonly CalledRow[]) {
    for (const row of rows) this.put(row.name, row.ownerId);
    for (const row of rows) this.#ids.set(bareName(row.ownerId), row.ownerId);
  }

  put(name: string | null, ownerId: string): void {
    if (name === null || bareName(name) === '') return;
    const before = this.#ids.get(bareName(name));
    this.#ids.set(bareName(name), before === undefined || before === ownerId ? ownerId : null);
  }

  readonly find = (text: string): string | null => this.#ids.get(bareName(text)) ?? null;
}

/** The fleet's names, to which those of tables read earlier in the same import are added. */
export class KnownNames implements Known {
  readonly #segments: Names;
  readonly segment: Known['segment'];
  readonly feeder: Known['feeder'];
  readonly substation: Known['substation'];
  readonly instrument: Known['instrument'];

  constructor(fleet: Fleet) {
    this.#segments = new Names(calledRows(fleet, 'segment'));
    this.segment = this.#segments.find;
    this.feeder = new Names(calledRows(fleet, 'feeder')).find;
    this.substation = new Names(calledRows(fleet, 'substation')).find;
    this.instrument = new Names(calledRows(fleet, 'instrument')).find;
  }

  add({ subject, header, rows }: SubjectRows): void {
    if (subject.name !== 'segments') return;
    const [id, name] = [header.indexOf('segment_id'), header.indexOf('name')];
    for (const { cells } of rows) {
      this.#segments.put(cells[id]!, cells[id]!);
      this.#segments.put(cells[name]!, cells[id]!);
    }
  }
}
