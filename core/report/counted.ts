const format = new Intl.NumberFormat('en', { maximumFractionDigits: 0 });

/** A count as sentences say it, thousands grouped by commas: 1,944. */
export const counted = (count: number): string => format.format(count);
