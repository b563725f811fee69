/** Chance of each value of Kendall's S when every order of y is as likely: index s + offset. */
export interface ExactS {
  readonly offset: number;
  readonly chance: Float64Array;
}

/**
 * The exact distribution of Kendall's S over all orders of y, given the ties that were seen (their group sizes in
 * rising order of value). Meant for at most about ten points.
 * With ties on one side only, the number of falling pairs is the number of inversions of a multiset, whose
 * generating function is the q-multinomial (P. A. MacMahon, Combinatory Analysis, 1915). With ties on both, the
 * groups of t are filled one after another from what is left of the groups of y.
 */
export function exactS(tGroups: readonly number[], yGroups: readonly number[]): ExactS {
  if (tGroups.every((size) => size === 1)) return tiedOnOneSide(yGroups);
  if (yGroups.every((size) => size === 1)) return tiedOnOneSide(tGroups);
  return tiedOnBoth(tGroups, yGroups);
}

function tiedOnOneSide(groups: readonly number[]): ExactS {
  // Fill the groups one after another; each new item, the k-th of a group, multiplies by [placed + k]_q / [k]_q.
  let inversions = Float64Array.of(1);
  let placed = 0;
  let untied = 0;
  for (const size of groups) {
    for (let k = 1; k <= size; k++) inversions = divide(multiply(inversions, placed + k), k);
    untied += placed * size;
    placed += size;
  }
  const total = inversions.reduce((sum, count) => sum + count, 0);
  const chance = new Float64Array(2 * untied + 1);
  for (let falling = 0; falling <= untied; falling++) chance[2 * (untied - falling)] = inversions[falling]! / total;
  return { offset: untied, chance };
}

/** Times 1 + q + … + q^(k − 1). */
function multiply(series: Float64Array, k: number): Float64Array<ArrayBuffer> {
  const product = new Float64Array(series.length + k - 1);
  for (let i = 0; i < series.length; i++) for (let j = 0; j < k; j++) product[i + j]! += series[i]!;
  return product;
}

/** Divided by 1 + q + … + q^(k − 1), which goes exactly. */
function divide(series: Float64Array, k: number): Float64Array<ArrayBuffer> {
  const quotient = new Float64Array(series.length - k + 1);
  for (let i = 0; i < quotient.length; i++) {
    let rest = series[i]!;
    for (let j = 1; j < k && j <= i; j++) rest -= quotient[i - j]!;
    quotient[i] = rest;
  }
  return quotient;
}

function tiedOnBoth(tGroups: readonly number[], yGroups: readonly number[]): ExactS {
  const n = tGroups.reduce((sum, size) => sum + size, 0);
  const offset = (n * (n - 1)) / 2;
  let states = new Map<string, { used: number[]; ways: Float64Array }>();
  const start = new Float64Array(2 * offset + 1);
  start[offset] = 1;
  states.set('', { used: yGroups.map(() => 0), ways: start });
  for (const size of tGroups) {
    const next: typeof states = new Map();
    for (const { used, ways } of states.values()) {
      for (const taken of takings(size, used, yGroups, 0)) {
        let weight = 1;
        let gain = 0;
        let before = used.reduce((sum, count) => sum + count, 0);
        let below = 0;
        for (let j = 0; j < yGroups.length; j++) {
          before -= used[j]!;
          weight *= choose(yGroups[j]! - used[j]!, taken[j]!);
          gain += taken[j]! * (below - before);
          below += used[j]!;
        }
        const after = used.map((count, j) => count + taken[j]!);
        const key = after.join();
        const state = next.get(key) ?? { used: after, ways: new Float64Array(2 * offset + 1) };
        next.set(key, state);
        for (let s = 0; s < ways.length; s++) if (ways[s]! > 0) state.ways[s + gain]! += weight * ways[s]!;
      }
    }
    states = next;
  }
  const ways = [...states.values()][0]!.ways;
  const total = ways.reduce((sum, count) => sum + count, 0);
  return { offset, chance: ways.map((count) => count / total) };
}

/** Every way to take so many items from what each group has left. */
function takings(size: number, used: readonly number[], groups: readonly number[], from: number): number[][] {
  if (from === groups.length) return size === 0 ? [[]] : [];
  const most = Math.min(size, groups[from]! - used[from]!);
  const all: number[][] = [];
  for (let take = 0; take <= most; take++) {
    for (const rest of takings(size - take, used, groups, from + 1)) all.push([take, ...rest]);
  }
  return all;
}

function choose(n: number, k: number): number {
  let ways = 1;
  for (let i = 1; i <= k; i++) ways = (ways * (n - k + i)) / i;
  return ways;
}
