/** Where a segment lies, in words. */
export interface DutyPlace {
  readonly area: string | null;
  readonly substation: string;
  readonly feeder: string;
}

/** Days since 1970-01-01; `noDay` where there is none, `everyDay` for an excuse that names no end. */
export const noDay = 0x7fffffff;
export const everyDay = 0x7ffffffe;

export interface DutyFacts {
  /** Tests up to this day are counted; '' for all on record. */
  readonly upTo: string;
  readonly places: readonly DutyPlace[];
  /** No test on record that is counted is later. */
  readonly lastTestDay: number;
}

export interface DutyColumns {
  /** The segments' ids, 36 letters each, by substation, feeder and name: positions below are in this order. */
  readonly ids: Uint8Array;
  /** Index into `places`, by position. */
  readonly place: Int32Array;
  readonly retired: Int32Array;
  /** 1 where no due day can be told. */
  readonly unknown: Uint8Array;
  /** Where the tests of a position begin in the columns below; one entry more than segments. */
  readonly first: Int32Array;
  /** Of every test that was or will be due: its day, the day it was done, and to when it is excused. */
  readonly due: Int32Array;
  readonly done: Int32Array;
  readonly until: Int32Array;
  /** Index into the versions of the retest rule. */
  readonly version: Int32Array;
}

/**
 * Every test that was or will be due in the life of every segment, as the records and the rule tell it. It depends on no
 * period and on no today: the due list and the register are counted from it.
 */
export interface Duties extends DutyFacts, DutyColumns {
  readonly revision: number;
}

export const segmentsIn = (duties: DutyColumns): number => duties.place.length;

const letters = 36;
export const segmentAt = ({ ids }: Pick<DutyColumns, 'ids'>, position: number): string =>
  Buffer.from(ids.buffer, ids.byteOffset + position * letters, letters).toString('latin1');

/** Position by segment's id. */
export function positionsOf(duties: DutyColumns): Map<string, number> {
  const all = Buffer.from(duties.ids.buffer, duties.ids.byteOffset, duties.ids.length).toString('latin1');
  const positions = new Map<string, number>();
  for (let p = 0; p * letters < all.length; p++) positions.set(all.slice(p * letters, (p + 1) * letters), p);
  return positions;
}
