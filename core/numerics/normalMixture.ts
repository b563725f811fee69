import { normalCdf, normalPdf } from './normal.ts';

/** Parts lighter than this change no printed figure. */
const light = 1e-5;

/** P(x ≤ at) of a mixture of normals whose parts stand at `from` … `from + count − 1` of the arrays. */
export function mixtureCdf(
  weight: Float64Array,
  mean: Float64Array,
  sd: Float64Array,
  from: number,
  count: number,
  at: number,
): number {
  let sum = 0;
  let total = 0;
  for (let k = from; k < from + count; k++) {
    const w = weight[k]!;
    if (w < light) continue;
    total += w;
    sum += w * normalCdf((at - mean[k]!) / sd[k]!);
  }
  return sum / total;
}

/** The x with P(X ≤ x) = p, 0 < p < 1, to about 1e-7 of the mixture's width: Newton steps inside a bracket that
 * only narrows, the last of them shorter than 1e-4 of the width (each squares the error of the one before). */
export function mixtureQuantile(
  weight: Float64Array,
  mean: Float64Array,
  sd: Float64Array,
  from: number,
  count: number,
  p: number,
): number {
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  let centre = 0;
  let square = 0;
  let total = 0;
  for (let k = from; k < from + count; k++) {
    const w = weight[k]!;
    if (w < light) continue;
    low = Math.min(low, mean[k]! - 9 * sd[k]!);
    high = Math.max(high, mean[k]! + 9 * sd[k]!);
    total += w;
    centre += w * mean[k]!;
    square += w * (mean[k]! * mean[k]! + sd[k]! * sd[k]!);
  }
  centre /= total;
  const width = Math.sqrt(Math.max(0, square / total - centre * centre));
  let x = centre + (p < 0.5 ? -1.2 : p > 0.5 ? 1.2 : 0) * width;
  for (let step = 0; step < 80; step++) {
    let below = 0;
    let density = 0;
    for (let k = from; k < from + count; k++) {
      const w = weight[k]!;
      if (w < light) continue;
      const z = (x - mean[k]!) / sd[k]!;
      below += w * normalCdf(z);
      density += (w * normalPdf(z)) / sd[k]!;
    }
    const error = below / total - p;
    if (error > 0) high = x;
    else low = x;
    let next = x - (error * total) / density;
    const newton = next > low && next < high;
    if (!newton) next = 0.5 * (low + high);
    const move = Math.abs(next - x);
    if (move < 1e-9 * width || (newton && move < 1e-4 * width)) return next;
    x = next;
  }
  return x;
}
