import { insulationFamilies, type SegmentColumns } from './columns.ts';

/** Segments that lend each other a usual level and growth: one insulation family, one stretch of years. */
export interface Cohorts {
  readonly count: number;
  /** Cohort of each segment. */
  readonly of: Int32Array;
  /** Index into `insulationFamilies` of each cohort. */
  readonly family: Uint8Array;
  /** For people to read: 'XLPE, energised 1980–1989'. */
  readonly names: readonly string[];
  readonly sizes: Int32Array;
}

/** First years of the bands; before the first, and unknown, are bands of their own. */
const bandStarts = [1970, 1985, 2000];
const yearDays = 365.25;

/**
 * Family × vintage band; a cohort under `smallest` segments joins the nearest band of its family. Only segments with
 * a usable test count, so that a band without tests does not stand alone.
 */
export function formCohorts(segments: SegmentColumns, tested: Uint8Array, smallest: number): Cohorts {
  const bands = bandStarts.length + 2;
  const unknownBand = bands - 1;
  const size = new Int32Array(insulationFamilies.length * bands);
  const cell = new Int32Array(segments.count);
  for (let s = 0; s < segments.count; s++) {
    const energised = segments.energisedDay[s]!;
    let band = 0;
    if (Number.isNaN(energised)) band = unknownBand;
    else while (band < bandStarts.length && 1970 + energised / yearDays >= bandStarts[band]!) band++;
    cell[s] = segments.insulation[s]! * bands + band;
    if (tested[s]) size[cell[s]!]!++;
  }
  const target = new Int32Array(size.length);
  for (let c = 0; c < size.length; c++) target[c] = c;
  for (let family = 0; family < insulationFamilies.length; family++) {
    mergeBands(size, target, family * bands, bands, smallest);
  }
  const number = new Int32Array(size.length).fill(-1);
  const of = new Int32Array(segments.count);
  const families: number[] = [];
  const covered: number[][] = [];
  const sizes: number[] = [];
  for (let s = 0; s < segments.count; s++) {
    const root = target[cell[s]!]!;
    if (number[root] === -1) {
      number[root] = families.length;
      families.push(segments.insulation[s]!);
      covered.push([]);
      sizes.push(0);
    }
    of[s] = number[root]!;
    if (tested[s]) sizes[of[s]!]!++;
    const band = cell[s]! % bands;
    if (!covered[of[s]!]!.includes(band)) covered[of[s]!]!.push(band);
  }
  return {
    count: families.length,
    of,
    family: Uint8Array.from(families),
    names: families.map((family, c) => cohortName(family, covered[c]!, unknownBand)),
    sizes: Int32Array.from(sizes),
  };
}

function mergeBands(size: Int32Array, target: Int32Array, first: number, bands: number, smallest: number): void {
  for (;;) {
    let small = -1;
    let others = 0;
    for (let b = 0; b < bands; b++) {
      if (target[first + b] !== first + b) continue;
      others++;
      if (size[first + b]! < smallest && (small < 0 || size[first + b]! < size[first + small]!)) small = b;
    }
    if (small < 0 || others < 2) return;
    let nearest = -1;
    for (let b = 0; b < bands; b++) {
      if (b === small || target[first + b] !== first + b) continue;
      if (nearest < 0 || Math.abs(b - small) < Math.abs(nearest - small)) nearest = b;
    }
    size[first + nearest]! += size[first + small]!;
    for (let b = 0; b < bands; b++) if (target[first + b] === first + small) target[first + b] = first + nearest;
  }
}

function cohortName(family: number, covered: number[], unknownBand: number): string {
  const known = covered.filter((band) => band !== unknownBand).sort((a, b) => a - b);
  const name = insulationFamilies[family] ?? 'other';
  if (known.length === 0) return `${name}, year unknown`;
  const from = known[0] === 0 ? undefined : bandStarts[known[0]! - 1];
  const last = known.at(-1)!;
  const to = last === bandStarts.length ? undefined : bandStarts[last]! - 1;
  if (from === undefined && to === undefined) return `${name}, all years`;
  if (from === undefined) return `${name}, energised until ${to}`;
  return to === undefined ? `${name}, energised since ${from}` : `${name}, energised ${from}–${to}`;
}
