import type { Subject } from '../column.ts';

/** What an owner's own table can be of. */
export const tableSubjects = ['segments', 'splices', 'failures', 'tests'] as const;
export type TableSubject = (typeof tableSubjects)[number];

export const dateOrders = ['day first', 'month first'] as const;
export type DateOrder = (typeof dateOrders)[number];

export interface TableColumn {
  /** As the header writes it, both lines of it. */
  readonly name: string;
  /** What it was taken for; null where it is left out. */
  readonly field: string | null;
  readonly unit: string | null;
  /** Of a reading in a column of its own. */
  readonly phase: 'A' | 'B' | 'C' | null;
  /** Minutes into the dwell, of a reading in a column of its own. */
  readonly atMin: number | null;
}

/** How a table is read: guessed, corrected by a person, and kept under the fingerprint of its header. */
export interface TableLayout {
  readonly fingerprint: string;
  readonly subject: TableSubject;
  readonly decimal: '.' | ',';
  readonly dateOrder: DateOrder;
  readonly columns: readonly TableColumn[];
  /** Fields that no column has, the same in every row. */
  readonly fixed: Readonly<Record<string, string>>;
  /** What a person must still say before the table can be taken in. */
  readonly open: readonly string[];
  /** What a person should look at. */
  readonly doubts: readonly string[];
}

/** A sheet or a text file as cells. */
export interface Grid {
  readonly sheet: string | null;
  readonly rows: readonly (readonly string[])[];
}

/** The cells of a table below its header. */
export interface OwnerTable {
  readonly sheet: string | null;
  readonly names: readonly string[];
  /** `line` counts from 1 in the file or sheet. */
  readonly rows: readonly { readonly line: number; readonly cells: readonly string[] }[];
  readonly headerLine: number;
}

/** Rows of one subject as the file of a fleet folder would have them. */
export interface SubjectRows {
  readonly subject: Subject;
  readonly header: readonly string[];
  readonly rows: readonly { readonly line: number; readonly cells: readonly string[] }[];
  /** What the owner calls the subject's columns. */
  readonly ownNames: ReadonlyMap<string, string>;
}

/** What the fleet knows. */
export interface Known {
  /** Owner's id by id or name; null where there is none. */
  readonly segment: (text: string) => string | null;
  readonly feeder: (text: string) => string | null;
  readonly substation: (text: string) => string | null;
  readonly instrument: (text: string) => string | null;
}
