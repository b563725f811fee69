/** Letters and digits only, lower case, without accents: what a name is compared by. */
export const bareName = (name: string): string =>
  name
    .normalize('NFKD')
    .toLowerCase()
    .replace(/[^\p{L}\p{N}]/gu, '');

/** Neighbouring pairs of letters, the ends among them, so that short names have some too. */
const pairsOf = (name: string): Set<string> => {
  const bare = ` ${name
    .normalize('NFKD')
    .toLowerCase()
    .replace(/[^\p{L}\p{N}]+/gu, ' ')
    .trim()} `;
  const pairs = new Set<string>();
  for (let i = 0; i + 1 < bare.length; i++) pairs.add(bare.slice(i, i + 2));
  return pairs;
};

/**
 * Finds names like a given one among many: by the share of letter pairs in common, 2·common/(a+b).
 * Source: Dice 1945, Ecology 26:297; on letter pairs it is a usual measure for misspelt names.
 */
export class NameIndex {
  readonly #sizes: Float64Array;
  readonly #where = new Map<string, number[]>();
  /** Pairs in common with the name asked for; kept between questions, as large fleets have many names. */
  readonly #common: Uint16Array;

  constructor(names: readonly string[]) {
    this.#sizes = new Float64Array(names.length);
    this.#common = new Uint16Array(names.length);
    names.forEach((name, at) => {
      const pairs = pairsOf(name);
      this.#sizes[at] = pairs.size;
      for (const pair of pairs) {
        const list = this.#where.get(pair);
        if (list) list.push(at);
        else this.#where.set(pair, [at]);
      }
    });
  }

  /** Places of names at least as similar as `least`, most similar first, at most `count`. */
  like(name: string, least: number, count: number): { readonly at: number; readonly similarity: number }[] {
    const pairs = pairsOf(name);
    const common = this.#common.fill(0);
    for (const pair of pairs) for (const at of this.#where.get(pair) ?? []) common[at]!++;
    const found: { at: number; similarity: number }[] = [];
    common.forEach((shared, at) => {
      const similarity = (2 * shared) / (pairs.size + this.#sizes[at]!);
      if (similarity >= least) found.push({ at, similarity });
    });
    return found.sort((a, b) => b.similarity - a.similarity || a.at - b.at).slice(0, count);
  }
}
