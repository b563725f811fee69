/** What can look wrong. */
export const findingKinds = [
  'unit slip',
  'wild reading',
  'impossible leakage',
  'length slip',
  'duplicate',
  'before energising',
  'after retirement',
  'in the future',
  'temperature',
  'phase swap',
  'instrument shift',
] as const;
export type FindingKind = (typeof findingKinds)[number];

/** A number that was seen, with its name and unit; an empty unit is a plain number. */
export interface SeenNumber {
  readonly name: string;
  readonly value: number;
  readonly unit: string;
}

/** What accepting a finding does to its readings, or to its segment. */
export type Cure =
  /** Their leakage times `factor`. */
  | { readonly do: 'multiply'; readonly factor: number }
  | { readonly do: 'leave out' }
  /** The readings repeat a test that counts already. */
  | { readonly do: 'count once' }
  /** The temperature becomes unknown, or is read as °F. */
  | { readonly do: 'temperature'; readonly of: 'insulation' | 'ambient'; readonly as: 'unknown' | 'fahrenheit' }
  /** The readings' phases (0, 1, 2), in their order. */
  | { readonly do: 'relabel'; readonly phases: readonly number[] }
  | { readonly do: 'length'; readonly lengthKm: number };

/** What accepting the finding would do to the growth of its segment, from a straight line through its own events. */
export type GrowthEffect =
  | { readonly known: true; readonly nowPercentPerYear: number; readonly thenPercentPerYear: number }
  | { readonly known: false; readonly because: string };

export interface Finding {
  readonly kind: FindingKind;
  /** How sure: 'certain' follows from the record itself, 'likely' from comparison, 'weak' is a hint to look. */
  readonly certainty: 'certain' | 'likely' | 'weak';
  /** Ordinals in the fleet's columns; −1 where the finding is about something else. */
  readonly segment: number;
  readonly event: number;
  readonly instrument: number;
  /** Ordinals of the readings it is about. */
  readonly readings: readonly number[];
  readonly seen: readonly SeenNumber[];
  /** What was seen, in a sentence. */
  readonly says: string;
  /** What accepting it would change, in a sentence. */
  readonly wouldChange: string;
  readonly cure: Cure;
  readonly growth: GrowthEffect;
}

/** A growth of ln per year as per cent per year. */
export const percentPerYear = (lnPerYear: number): number => 100 * Math.expm1(lnPerYear);

const decimals = (value: number): number => Math.max(0, 2 - Math.floor(Math.log10(Math.abs(value) || 1)));

/** Three significant digits, as people write them. */
export const roughly = (value: number): string => {
  if (!Number.isFinite(value)) return 'unknown';
  return value
    .toFixed(Math.min(12, decimals(value)))
    .replace(/(\.\d*?)0+$/, '$1')
    .replace(/\.$/, '')
    .replace(/^-/, '\u2212');
};

/** 10, 100, 1,000, 1,000,000. */
export const powerOfTen = (power: number): string => (10 ** power).toLocaleString('en-GB');

/** 2016-07-04 of days since 1970-01-01. */
export const isoDay = (day: number): string => new Date(day * 86_400_000).toISOString().slice(0, 10);

export const phaseNames = ['A', 'B', 'C'] as const;

export const noGrowthEffect = (because: string): GrowthEffect => ({ known: false, because });
