import type { Fleet } from '../store/sql.ts';

/** What a task works with: the open fleet, the time, who asks, and how to say where it stands. */
export interface Desk {
  /** The open fleet; throws a Refusal where the core was opened without one. */
  readonly fleet: Fleet;
  /** The fleet's file, or null where the core was opened without one. */
  readonly file: string | null;
  /** ISO 8601 UTC of this moment. */
  readonly now: () => string;
  /** The calendar day where the person is, ISO 8601: in Auckland it begins half a day before UTC's. */
  readonly day: () => string;
  readonly who: string;
  /** Whether answers of the ranking from before the last changes may be given while new ones are being made. */
  readonly showsBefore?: boolean | undefined;
  /** An empty fleet in memory with the schema of this program; the caller closes it. */
  readonly blankFleet: () => Promise<Fleet>;
  /** `done` of `total` (0 where unknown) in words: 'reading tests.csv, 41,000 rows a second'. */
  readonly progress: (done: number, total: number, words: string) => void;
  /** Throws the Refusal 'cancelled' once the person has cancelled; long loops call it. */
  readonly checkStop: () => void;
  /** Puts off work that makes later answers quicker, to be done bit by bit while nothing is asked; a newer one of the same name takes its place. */
  readonly whenIdle: (name: string, work: Iterator<void>) => void;
}

/** The day it is where the person is, ISO 8601. */
export const today = (desk: Desk): string => desk.day();
