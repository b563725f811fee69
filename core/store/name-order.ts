/** One for all: to make one costs more than ten thousand comparisons. */
const collator = new Intl.Collator('en', { numeric: true });

/** Names as people count: letters by the alphabet whatever their case, numbers within them by value, 2 before 10. */
export const byName: (a: string, b: string) => number = collator.compare;

/** The same for rows, by their names and then by the owner's ids. */
export const byRowName = (
  a: { readonly name: string; readonly ownerId: string },
  b: { readonly name: string; readonly ownerId: string },
): number => byName(a.name, b.name) || byName(a.ownerId, b.ownerId);

interface Placed {
  readonly substation: string;
  readonly feeder: string;
  readonly name: string;
  readonly ownerId: string;
}

/**
 * Rows of one feeder one after another: by substation, feeder and name. A feeder's place is found once, so that only
 * names of one feeder are compared with each other.
 */
export function inPlaceOrder<Row extends Placed>(rows: readonly Row[]): Row[] {
  const feeders: Row[][] = [];
  for (const row of rows) {
    const before = feeders.at(-1)?.[0];
    if (before?.feeder === row.feeder && before.substation === row.substation) feeders.at(-1)!.push(row);
    else feeders.push([row]);
  }
  feeders.sort(([a], [b]) => byName(a!.substation, b!.substation) || byName(a!.feeder, b!.feeder));
  for (const each of feeders) each.sort(byRowName);
  return feeders.flat();
}
