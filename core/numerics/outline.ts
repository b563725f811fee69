/**
 * Places of samples that keep the outline of every column when drawn: first and last, and within each of equal stretches
 * the least and the greatest of each column. NaN is passed over. Gives all places where there are no more than `about`.
 */
export function outlineOf(columns: readonly ArrayLike<number>[], about: number): number[] {
  const count = columns[0]?.length ?? 0;
  if (count <= about) return Array.from({ length: count }, (_, i) => i);
  const stretches = Math.max(1, Math.floor(about / (2 * columns.length)));
  const places = new Set<number>([0, count - 1]);
  for (let s = 0; s < stretches; s++) {
    const from = Math.floor((s * count) / stretches);
    const to = Math.floor(((s + 1) * count) / stretches);
    for (const column of columns) {
      let least = -1;
      let greatest = -1;
      for (let i = from; i < to; i++) {
        if (Number.isNaN(column[i]!)) continue;
        if (least < 0 || column[i]! < column[least]!) least = i;
        if (greatest < 0 || column[i]! > column[greatest]!) greatest = i;
      }
      if (least >= 0) places.add(least).add(greatest);
    }
  }
  return [...places].sort((a, b) => a - b);
}
