import type { SeededRandom } from '../numerics/random.ts';
import { initials, streets, substationPlaces } from './places.ts';
import { dayOf, numbered } from './rows.ts';
import { districts, type Family, families, firstEnergisedYear, yearsBack } from './tables.ts';

export interface DemoFeeder {
  readonly id: string;
  readonly name: string;
  readonly substation: number;
  readonly district: (typeof districts)[number];
  readonly customers: number;
  readonly segments: number;
  readonly injected: boolean;
}

export interface DemoSegment {
  readonly number: number;
  readonly id: string;
  readonly name: string;
  readonly fromPoint: string;
  readonly toPoint: string;
  readonly feeder: DemoFeeder;
  readonly family: Family;
  readonly ratedKv: 15 | 25;
  readonly levelPct: 100 | 133;
  readonly lengthM: number;
  readonly phases: 'ABC' | 'A' | 'B' | 'C';
  readonly energisedDay: number;
  readonly customers: number;
  readonly critical: boolean;
  readonly badSplice: boolean;
}

/** About a segment in fifteen is a feeder; three substations for up to 120 feeders, then more. */
export function inventFeeders(random: SeededRandom, segments: number): DemoFeeder[] {
  const count = Math.max(4, Math.round(segments / 15));
  const substations = Math.max(3, Math.round(count / 40));
  const weights = Array.from({ length: count }, () => 0.5 + random.uniform());
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  let weightSoFar = 0;
  let segmentsSoFar = 0;
  return weights.map((weight, i) => {
    weightSoFar += weight;
    const upTo = i === count - 1 ? segments : Math.round((segments * weightSoFar) / total);
    const own = upTo - segmentsSoFar;
    segmentsSoFar = upTo;
    const district = districtOf(((i + 0.5) / count) * 100);
    const round = Math.floor(i / streets.length);
    return {
      id: numbered('F', i + 1, 5),
      name: round === 0 ? streets[i]! : `${streets[i % streets.length]} ${round + 1}`,
      substation: Math.min(substations - 1, Math.floor((i * substations) / count)),
      district,
      customers: 150 + random.integer(1400),
      segments: own,
      // The estates' fourth feeder of every forty was injected.
      injected: district.name === 'valley estates' && i % 40 === (count < 40 ? Math.floor(count * 0.6) : 24),
    };
  });
}

export const substationCount = (feeders: readonly DemoFeeder[]): number => feeders.at(-1)!.substation + 1;

export function substationName(number: number): { name: string; region: string } {
  const place = substationPlaces[number % substationPlaces.length]!;
  const round = Math.floor(number / substationPlaces.length);
  return { name: round === 0 ? place.name : `${place.name} ${round + 1}`, region: place.region };
}

function districtOf(pct: number) {
  let upTo = 0;
  for (const district of districts) {
    upTo += district.feedersPct;
    if (pct < upTo) return district;
  }
  return districts.at(-1)!;
}

/** The `place`-th segment of a feeder. */
export function inventSegment(
  random: SeededRandom,
  feeder: DemoFeeder,
  place: number,
  number: number,
  lastYear: number,
): DemoSegment {
  const { district } = feeder;
  const family: Family = feeder.injected
    ? random.uniform() < 0.7
      ? 'HMWPE'
      : 'XLPE'
    : district.families[random.integer(district.families.length)]!;
  const row = families[family];
  const lastEnergised = lastYear - yearsBack.lastEnergised;
  const from = Math.max(row.from, district.from, firstEnergisedYear);
  const to = Math.max(from + 1, Math.min(row.to ?? lastEnergised, district.to, lastEnergised));
  const year = from + random.integer(to - from + 1);
  const tap = random.uniform() < 0.06;
  const vault = `${initials(feeder.name)}${feeder.id.slice(1).replace(/^0+/, '')}`;
  const old = family === 'PILC' || family === 'HMWPE' || family === 'XLPE';
  return {
    number,
    id: numbered('S', number, 6),
    name: `${feeder.name} ${place + 1}`,
    fromPoint: `vault ${vault}-${place + 1}`,
    toPoint: `vault ${vault}-${place + 2}`,
    feeder,
    family,
    ratedKv: district.ratedKv,
    levelPct: random.uniform() < 0.3 ? 100 : 133,
    lengthM: Math.round(10 * Math.exp(Math.log(320) + 0.5 * random.normal())) / 10,
    phases: tap ? (['A', 'B', 'C'] as const)[random.integer(3)]! : 'ABC',
    energisedDay: dayOf(year, 1 + random.integer(12), 1 + random.integer(28)),
    customers: Math.max(
      1,
      Math.round((feeder.customers / Math.max(1, feeder.segments)) * (0.4 + 1.2 * random.uniform())),
    ),
    critical: random.uniform() < 0.06,
    badSplice: old && !feeder.injected && random.uniform() < 0.06,
  };
}
