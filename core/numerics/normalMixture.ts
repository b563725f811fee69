import { normalCdf } from './normal.ts';
import { quickNormalCdf, quickNormalPdf } from './normalTable.ts';

/** Parts lighter than this change no printed figure. */
const light = 1e-5;
/** Where the search for an outer quantile starts: this many widths from the centre, as 5 % of one normal lie. */
const outer = 1.6;
/** The parts that count, side by side: weight, mean and 1 ÷ sd of each. Grows to the widest mixture met. */
let room = new Float64Array(3 * 16);

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

/**
 * The x with P(X ≤ x) = p, 0 < p < 1, to about 1e-7 of the mixture's width: Halley's steps inside a bracket that only
 * narrows, the last of them shorter than 3e-4 of the width (each cubes the error of the one before).
 */
export function mixtureQuantile(
  weight: Float64Array,
  mean: Float64Array,
  sd: Float64Array,
  from: number,
  count: number,
  p: number,
): number {
  if (room.length < 3 * count) room = new Float64Array(3 * count);
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  let centre = 0;
  let square = 0;
  let total = 0;
  let used = 0;
  for (let k = from; k < from + count; k++) {
    const w = weight[k]!;
    if (w < light) continue;
    const m = mean[k]!;
    const s = sd[k]!;
    low = Math.min(low, m - 9 * s);
    high = Math.max(high, m + 9 * s);
    total += w;
    centre += w * m;
    square += w * (m * m + s * s);
    room[used++] = w;
    room[used++] = m;
    room[used++] = 1 / s;
  }
  centre /= total;
  const width = Math.sqrt(Math.max(0, square / total - centre * centre));
  let x = centre + (p < 0.5 ? -outer : p > 0.5 ? outer : 0) * width;
  for (let step = 0; step < 80; step++) {
    let below = 0;
    let density = 0;
    let bend = 0;
    for (let k = 0; k < used; k += 3) {
      const z = (x - room[k + 1]!) * room[k + 2]!;
      below += room[k]! * quickNormalCdf(z);
      const rise = room[k]! * room[k + 2]! * quickNormalPdf(z);
      density += rise;
      bend -= rise * z * room[k + 2]!;
    }
    const error = below / total - p;
    if (error > 0) high = x;
    else low = x;
    const plain = (error * total) / density;
    // Where the bend would more than halve or double the plain step, it is no guide.
    let next = x - plain / Math.max(0.5, Math.min(2, 1 - (0.5 * plain * bend) / density));
    const inside = next > low && next < high;
    if (!inside) next = 0.5 * (low + high);
    const move = Math.abs(next - x);
    if (move < 1e-9 * width || (inside && move < 3e-4 * width)) return next;
    x = next;
  }
  return x;
}
