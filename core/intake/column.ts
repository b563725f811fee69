export type SubjectName =
  | 'substations'
  | 'feeders'
  | 'segments'
  | 'splices'
  | 'terminations'
  | 'interventions'
  | 'failures'
  | 'instruments'
  | 'calibrations'
  | 'tests'
  | 'limits';

/** Kinds of record a subject is kept as. */
export type SubjectEntity =
  | 'substation'
  | 'feeder'
  | 'segment'
  | 'splice'
  | 'termination'
  | 'intervention'
  | 'failure'
  | 'instrument'
  | 'calibration'
  | 'test_event'
  | 'leakage_limit';

/** A column of a fleet folder's file. */
export interface Column {
  readonly name: string;
  /** `id`: the owner's own text, unique in its file. `ref`: such an id of `refersTo`. `whole`: a whole number. */
  readonly kind: 'id' | 'ref' | 'text' | 'number' | 'whole' | 'choice' | 'day' | 'flag';
  /** Empty is refused. */
  readonly needed?: boolean;
  /** One phrase on what it holds. */
  readonly says: string;
  readonly unit?: string;
  readonly values?: readonly string[];
  /** Other spellings taken for a value. */
  readonly alike?: Readonly<Record<string, string>>;
  readonly refersTo?: SubjectName;
  /** Greater than this. */
  readonly above?: number;
  readonly atLeast?: number;
  readonly atMost?: number;
  /** How a flag is written, true first; `yes/no` and `true/false` are both read. */
  readonly words?: readonly [string, string];
  /** The id stands on several rows. */
  readonly repeats?: boolean;
  /** The key of its file though not an id. */
  readonly key?: boolean;
  /** Column of the fleet file. */
  readonly stored: string;
}

export interface Subject {
  readonly name: SubjectName;
  readonly file: string;
  readonly entity: SubjectEntity;
  readonly title: string;
  readonly columns: readonly Column[];
  /** Which column is the key. */
  readonly keyAt: number;
  /** Pairs of days of which the second is never the earlier. */
  readonly spans: readonly { readonly name: string; readonly until: string }[];
}

/** A value read from a cell: text, number (flags are 1 and 0), or null for unknown. */
export type Value = string | number | null;

export function subject(
  name: SubjectName,
  entity: SubjectEntity,
  title: string,
  columns: readonly Column[],
  more: { spans?: Subject['spans'] } = {},
): Subject {
  return {
    name,
    file: `${name}.csv`,
    entity,
    title,
    columns,
    keyAt: columns.findIndex((column) => column.kind === 'id' || column.key),
    spans: more.spans ?? [],
  };
}

export const columnAt = (of: Subject, name: string): number => {
  const at = of.columns.findIndex((column) => column.name === name);
  if (at < 0) throw new Error(`${of.file} has no column ${name}`);
  return at;
};
