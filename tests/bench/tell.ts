/** The least figure of the sorted list that a share of them does not exceed (nearest rank): 0.5 the median, 1 the largest. */
export const at = (sorted: readonly number[], share: number): number =>
  sorted[Math.max(0, Math.ceil(share * sorted.length) - 1)] ?? Number.NaN;

export const ascending = (list: readonly number[]): number[] => [...list].sort((a, b) => a - b);

/** Words in columns of a fixed width, the first to the left. */
export const line = (...words: readonly (string | number)[]): string =>
  words.map((word, i) => (i === 0 ? String(word).padEnd(46) : String(word).padStart(9))).join(' ');
