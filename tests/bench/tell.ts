/** One figure at a share of the sorted list: 0.5 the median, 1 the largest. */
export const at = (sorted: readonly number[], share: number): number =>
  sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? Number.NaN;

export const ascending = (list: readonly number[]): number[] => [...list].sort((a, b) => a - b);

/** Words in columns of a fixed width, the first to the left. */
export const line = (...words: readonly (string | number)[]): string =>
  words.map((word, i) => (i === 0 ? String(word).padEnd(46) : String(word).padStart(9))).join(' ');
