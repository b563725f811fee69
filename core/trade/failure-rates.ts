import type { Source } from './source.ts';

const kmPerMile = 1.609344;

export interface FailureRate {
  readonly population: string;
  readonly value: number;
  readonly unit:
    | 'per 100 conductor-miles and year'
    | 'per mile and year'
    | 'per year for each 1000 circuit-feet'
    | 'per year for each component';
  readonly source: Source;
}

const rate = (population: string, value: number, unit: FailureRate['unit'], source: Source): FailureRate => ({
  population,
  value,
  unit,
  source,
});

const epri: Source = {
  document: 'EPRI survey of 19 US utilities',
  edition: '',
  table: 'all components, without dig-ins',
  mark: 'read',
};
const cox: Source = {
  document: 'Cox, experience at Memphis',
  edition: '',
  table: 'failures per 100 conductor-miles',
  mark: 'read',
};
const texas: Source = {
  document: 'meeting notes on a Texas utility',
  edition: '2015',
  table: 'as printed',
  mark: 'read',
};
const ieee493: Source = {
  document: 'IEEE 493',
  edition: 'edition not verified',
  table: 'cable 601 V to 15 kV, failures per year',
  mark: 'from memory, unverified',
};
const mi100 = 'per 100 conductor-miles and year' as const;
const kft = 'per year for each 1000 circuit-feet' as const;
const each = 'per year for each component' as const;

/** Published failure rates: a prior where a fleet has few failures of its own, never a judgement of a segment. */
export const failureRates: readonly FailureRate[] = [
  rate('all components, median of 19 utilities', 2.89, mi100, epri),
  rate('cable alone, low end', 0.7, mi100, epri),
  rate('cable alone, high end', 4, mi100, epri),
  rate('HMWPE at six years, 1973', 4.24, mi100, cox),
  rate('HMWPE, 1976', 16, mi100, cox),
  rate('HMWPE at its peak, 1983', 87, mi100, cox),
  rate('XLPE feeders, 1980', 3, mi100, cox),
  rate('XLPE feeders at their peak, 1985', 11, mi100, cox),
  rate('all cable', 0.2, 'per mile and year', texas),
  rate('unjacketed before 1993', 5, 'per mile and year', texas),
  rate('cable below ground', 0.00617, kft, ieee493),
  rate('cable in conduit below ground', 0.00613, kft, ieee493),
  rate('PILC', 0.00912, kft, ieee493),
  rate('thermoplastic insulation', 0.00387, kft, ieee493),
  rate('thermosetting insulation', 0.00889, kft, ieee493),
  rate('joint', 0.000864, each, ieee493),
  rate('termination above ground', 0.000879, each, ieee493),
  rate('termination in duct', 0.000303, each, ieee493),
];

/** Failures a year for 100 km, where the row is by length; null where it is by component. */
export const ratePer100Km = (row: FailureRate): number | null =>
  row.unit === mi100
    ? row.value / kmPerMile
    : row.unit === 'per mile and year'
      ? (100 * row.value) / kmPerMile
      : row.unit === kft
        ? row.value / 0.003048
        : null;

/** What usually brings an accessory down, by its age in years. */
export const accessoryCauses: readonly {
  readonly fromYears: number;
  readonly toYears: number;
  readonly cause: string;
  readonly source: Source;
}[] = (
  [
    [0, 1, 'gross installation fault'],
    [1, 5, 'installation fault and water'],
    [5, 20, 'material and corrosion'],
    [20, Number.POSITIVE_INFINITY, 'dielectric and thermal ageing'],
  ] as const
).map(([fromYears, toYears, cause]) => ({
  fromYears,
  toYears,
  cause,
  source: { document: 'Groeger, accessory failures', edition: '2015', table: 'cause by age', mark: 'read' },
}));

/** Rough Weibull shapes. To be fitted to the fleet, never preset. */
export const roughWeibullShapes = {
  ageingExtruded: [2, 6],
  joints: [1, 3],
  source: { document: 'field experience', edition: '', table: '', mark: 'from memory, unverified' } satisfies Source,
} as const;

/** What a large US programme found about withstand tests. */
export const withstandExperience: readonly { readonly says: string; readonly source: Source }[] = [
  {
    says: 'A median of 77 % of circuits survived a 15-minute withstand; not adjusted for length.',
    source: { document: 'CDFI final report (DE-FC02-04CH11237)', edition: '2010', table: 'page 162', mark: 'read' },
  },
  {
    says: 'Tests pick out good circuits well and bad circuits poorly; they cannot give remaining life.',
    source: { document: 'CDFI final report (DE-FC02-04CH11237)', edition: '2010', table: 'page 19', mark: 'read' },
  },
];
