/** Stands between two records; no name holds it. */
const between = '\0';

/** Beyond so many records that hold the text, each kind of match is looked for by itself. */
const manyRecords = 2000;

/**
 * Records of lines, lower case, searched as one text: the runtime's own search walks five million letters in the time
 * that two hundred thousand calls would take to begin.
 */
export class Haystack {
  readonly #text: string;
  /** Where each record begins in the text. */
  readonly #starts: Int32Array;
  readonly #records: readonly string[];

  constructor(records: readonly string[]) {
    this.#records = records;
    this.#text = `${between}${records.join(between)}${between}`;
    this.#starts = new Int32Array(records.length);
    let at = 1;
    records.forEach((record, i) => {
      this.#starts[i] = at;
      at += record.length + 1;
    });
  }

  /**
   * Places of at most `count` records that hold the text, best first: a whole line, the beginning of the first line or
   * of a later one, the beginning of a later word, anywhere; in each of these in the records' own order.
   */
  find(text: string, count: number): number[] {
    if (text === '' || text.includes(between) || text.includes('\n')) return [];
    const some = this.#with(text, manyRecords);
    const byRank: number[][] = [[], [], [], []];
    if (some.length < manyRecords) for (const i of some) byRank[rankOf(this.#records[i]!, text)]!.push(i);
    else this.#rankMany(text, count, some, byRank);
    return byRank.flat().slice(0, count);
  }

  /**
   * Places of at most `count` records that have words beginning with the typed ones, in their order, as 'tan 12 1' means
   * 'Tannery Row 12 1': those with most of the typed words whole first, then in the records' own order.
   */
  findWords(text: string, count: number): number[] {
    const words = text.split(/[\s-]+/).filter((word) => word !== '');
    if (words.length < 2 || text.includes(between)) return [];
    // The longest word is in the fewest records.
    const longest = words.reduce((a, b) => (b.length > a.length ? b : a));
    const byWhole: number[][] = words.map(() => []);
    byWhole.push([]);
    for (const i of this.#with(longest, this.#records.length)) {
      const whole = wholeWords(this.#records[i]!, words);
      if (whole >= 0) byWhole[whole]!.push(i);
    }
    return byWhole.reverse().flat().slice(0, count);
  }

  /** Where far more records hold the text than are wanted, the better kinds of match nearly always suffice. */
  #rankMany(text: string, count: number, some: readonly number[], byRank: number[][]): void {
    const taken = new Set<number>();
    const take = (rank: number, ...patterns: string[]): void => {
      const found = new Set(patterns.flatMap((pattern) => this.#with(pattern, count)));
      for (const i of [...found].sort((a, b) => a - b))
        if (!taken.has(i)) {
          taken.add(i);
          byRank[rank]!.push(i);
        }
    };
    take(0, `${between}${text}\n`, `${between}${text}${between}`, `\n${text}${between}`, `\n${text}\n`);
    take(1, `${between}${text}`, `\n${text}`);
    if (taken.size < count) take(2, ` ${text}`, `-${text}`);
    if (taken.size < count) byRank[3] = some.filter((i) => !taken.has(i)).slice(0, count);
  }

  /** The first records that hold the pattern, at most `most`. */
  #with(pattern: string, most: number): number[] {
    const found: number[] = [];
    let from = 0;
    while (found.length < most) {
      const at = this.#text.indexOf(pattern, from);
      if (at < 0) break;
      // A pattern that begins with what stands between belongs to the record behind it.
      const i = this.#recordAt(pattern.startsWith(between) ? at + 1 : at);
      if (i >= this.#records.length) break;
      found.push(i);
      from = this.#starts[i]! + this.#records[i]!.length;
    }
    return found;
  }

  #recordAt(at: number): number {
    let low = 0;
    let high = this.#starts.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (this.#starts[middle]! <= at) low = middle + 1;
      else high = middle;
    }
    return low - 1;
  }
}

/** How many of the typed words stand whole in the record's first line, −1 where not all begin a word of it in their order. */
function wholeWords(record: string, words: readonly string[]): number {
  const line = record.slice(0, Math.max(0, record.indexOf('\n')));
  let from = 0;
  let whole = 0;
  for (const word of words) {
    let at = line.indexOf(word, from);
    while (at > 0 && !isGap(line[at - 1]!)) at = line.indexOf(word, at + 1);
    if (at < 0) return -1;
    from = at + word.length;
    if (from === line.length || isGap(line[from]!)) whole++;
    while (from < line.length && !isGap(line[from]!)) from++;
  }
  return whole;
}

const isGap = (letter: string) => letter === ' ' || letter === '-';

/** 0 a whole line, 1 the beginning of a line, 2 the beginning of a later word, 3 anywhere. */
function rankOf(record: string, text: string): number {
  let best = 3;
  for (let at = record.indexOf(text); at >= 0 && best > 0; at = record.indexOf(text, at + 1)) {
    const before = at === 0 ? '\n' : record[at - 1]!;
    const after = record[at + text.length] ?? '\n';
    if (before === '\n') best = Math.min(best, after === '\n' ? 0 : 1);
    else if (before === ' ' || before === '-') best = Math.min(best, 2);
  }
  return best;
}
