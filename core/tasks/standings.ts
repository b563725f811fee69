import type { FitReport } from '../contract/asks/ranking.ts';
import { refuse } from '../contract/problem.ts';
import { keptDigest } from '../evidence/kept-digest.ts';
import type { ReadingBasis } from '../growth/expectReading.ts';
import { type KeptRow, keepAnswer, keptAnswer, keptRevision, keptSince } from '../store/kept.ts';
import { revisionOf } from '../store/ledger.ts';
import type { Fleet } from '../store/sql.ts';
import { dayOf, isoOf } from './days.ts';
import type { Desk } from './desk.ts';
import { fitStandings } from './fit-standings.ts';
import { frameOf } from './frame.ts';
import { type Packable, pack, unpack } from './pack.ts';

/** Columns of the standings: one entry a segment in the frame's order unless said otherwise; NaN where unknown. */
export interface StandingColumns {
  /** 0 where unranked. */
  readonly rank: Int32Array;
  /** Ordinals by rank; retired segments are in no order. */
  readonly order: Int32Array;
  readonly retired: Uint8Array;
  /** Calendar year, 0 where unknown. */
  readonly energisedYear: Int32Array;
  /** % per year, with the ends of the 90 % interval. */
  readonly growth: Float64Array;
  readonly growthLo: Float64Array;
  readonly growthHi: Float64Array;
  readonly pGrowing: Float64Array;
  /** nS/km at 20 °C as of the day. */
  readonly level: Float64Array;
  readonly levelLo: Float64Array;
  readonly levelHi: Float64Array;
  readonly limit: Float64Array;
  readonly pExceed1: Float64Array;
  readonly pExceed2: Float64Array;
  readonly pExceed5: Float64Array;
  readonly pExceed10: Float64Array;
  /** Calendar years with fraction; NaN where not within the horizon. */
  readonly crossingYear: Float64Array;
  readonly crossingLo: Float64Array;
  readonly crossingHi: Float64Array;
  readonly tests: Int32Array;
  readonly ownShare: Float64Array;
  readonly pAccelerating: Float64Array;
  readonly worstPhase: Int8Array;
  readonly worstPhaseGrowth: Float64Array;
  readonly censoredTests: Int32Array;
  /** % per year and two-sided p of the plain companions; NaN under their least number of tests. */
  readonly theilSen: Float64Array;
  readonly mannKendallP: Float64Array;
  /** Index into `insulationFamilies`. */
  readonly insulation: Uint8Array;
  readonly cohort: Int32Array;
  /** Days since 1970-01-01 of the intervention that began the present era; NaN without one. */
  readonly eraDay: Float64Array;
  readonly eraKind: Int8Array;
  /** One byte a segment and year, see strips. */
  readonly strips: Uint8Array;
  /** Posterior of level (ln nS/km) and slope (1/year): `parts` a segment. */
  readonly partWeight: Float64Array;
  readonly partLevel: Float64Array;
  readonly partSlope: Float64Array;
  readonly partLevelVariance: Float64Array;
  readonly partCovariance: Float64Array;
  readonly partSlopeVariance: Float64Array;
  /** What each phase does beside the others, see `PhaseBasis`: three entries a segment. */
  readonly phaseLevel: Float32Array;
  readonly phaseSlope: Float32Array;
  readonly phaseVariance: Float32Array;
  /** Usual maintenance voltage of the segment's class, kV. */
  readonly usualKv: Float64Array;
  /** Insulation temperature of each day of the year as this fleet's tests show it, °C: 366 entries. */
  readonly seasonC: Float32Array;
  /** First reading of each segment in the columns below; one entry more than segments. */
  readonly firstReading: Int32Array;
  readonly readingAdjusted: Float32Array;
  readonly readingFlag: Uint8Array;
  readonly readingReason: Uint8Array;
  readonly readingFactor: Float32Array;
  readonly readingSurprise: Float32Array;
}

export interface WorkSteps {
  /** ln by which work of each kind (in the order of `interventionKinds`) lowers the level, with its variance; null where there was none. */
  readonly drops: readonly ({ readonly mean: number; readonly variance: number } | null)[];
  readonly spreadVariance: number;
}

export interface StandingFacts {
  readonly asOf: string;
  /** Calendar year of the day. */
  readonly year: number;
  /** The same with its fraction. */
  readonly nowYear: number;
  readonly horizonYears: number;
  readonly parts: number;
  readonly cohorts: readonly { readonly name: string; readonly growthPctPerYr: number }[];
  /** Where the owner's limits come from, by insulation; others stand on our default. */
  readonly ownerLimits: readonly (readonly [string, string])[];
  /** Spread of the segments' own growth (ln per year) and of one test about its line (ln). */
  readonly slopeSd: number;
  readonly eventSd: number;
  /** What a reading to come is foretold from. */
  readonly reading: ReadingBasis;
  /** How far work on a cable moves the level of its segment: what its kinds usually take off, and the spread about that. */
  readonly works: WorkSteps;
  /** Standard deviation of a temperature taken from the season alone, °C. */
  readonly seasonSdC: number;
  readonly report: FitReport;
}

/** Growth, level, crossing and strip of every segment, as of a day and a revision. */
export interface Standings extends StandingColumns, StandingFacts {
  readonly revision: number;
  readonly ordinalById: ReadonlyMap<string, number>;
}

/** Fleets up to this size are fitted on the spot; larger ones ask for `ranking.make`. */
export const onTheSpotSegments = 2500;
/** Raise the edition with every change that alters a computed number, so that none of an older one is taken up. */
const edition = 15;
export const standingsName = `standings, edition ${edition}`;
/** The ranks alone, a hundredth of the rest: all that is asked of an earlier day when the ranking is opened. */
const ranksName = `ranks, edition ${edition}`;

const inMemory = new WeakMap<Fleet, Map<string, Standings>>();

function remember(fleet: Fleet, standings: Standings): Standings {
  let byDay = inMemory.get(fleet);
  if (!byDay) {
    byDay = new Map();
    inMemory.set(fleet, byDay);
  }
  for (const [asOf, kept] of byDay) if (kept.revision !== standings.revision) byDay.delete(asOf);
  if (byDay.size >= 3) byDay.delete(byDay.keys().next().value!);
  byDay.set(standings.asOf, standings);
  return standings;
}

/** The standings kept for this revision and day, or null. Never fits. */
export function keptStandings(desk: Desk, asOf: string): Standings | null {
  const { fleet } = desk;
  const revision = revisionOf(fleet);
  const here = inMemory.get(fleet)?.get(asOf);
  if (here?.revision === revision) return here;
  const row = keptAnswer(fleet, standingsName, asOf, revision);
  return row ? remember(fleet, opened(fleet, row)) : null;
}

/** The revision of which standings of a day are at hand, without opening them; null where there are none. */
export function standingsRevision({ fleet }: Desk, asOf: string): number | null {
  const revision = revisionOf(fleet);
  const here = inMemory.get(fleet)?.get(asOf)?.revision;
  return here === revision ? here : (keptRevision(fleet, standingsName, asOf) ?? here ?? null);
}

/** The last standings of a day from before the revision of now, or null. Never fits. */
export function earlierStandings({ fleet }: Desk, asOf: string): Standings | null {
  const here = inMemory.get(fleet)?.get(asOf) ?? null;
  const row = keptSince(fleet, standingsName, asOf, here?.revision ?? -1);
  return row ? remember(fleet, opened(fleet, row)) : here;
}

function opened(fleet: Fleet, { revision, bytes }: KeptRow): Standings {
  const { plain, columns } = unpack(bytes);
  return {
    ...(plain as StandingFacts),
    ...(columns as unknown as StandingColumns),
    revision,
    ordinalById: frameOf(fleet).ordinalById,
  };
}

function fitNow(desk: Desk, asOf: string): Standings {
  const { fleet } = desk;
  const revision = revisionOf(fleet);
  const { facts, columns } = fitStandings(desk, asOf);
  if (!fleet.readOnly) {
    const keep = (name: string, bytes: Uint8Array) => {
      const answer = { name, asked: asOf, revision, madeAt: desk.now(), bytes };
      keepAnswer(fleet, { ...answer, digest: keptDigest(answer) });
    };
    keep(standingsName, pack(facts, columns as unknown as { [name: string]: Packable }));
    keep(ranksName, pack(null, { rank: columns.rank }));
  }
  return remember(fleet, { ...facts, ...columns, revision, ordinalById: frameOf(fleet).ordinalById });
}

/** The standings as of a day, fitted if they are not kept. */
export const standingsAsOf = (desk: Desk, asOf: string): Standings => keptStandings(desk, asOf) ?? fitNow(desk, asOf);

/** For reads that must answer at once: refuses with 'not-ready' where a large fleet has no standings yet. */
export function standingsFor(desk: Desk, asOf: string): Standings {
  const kept = keptStandings(desk, asOf);
  if (kept) return kept;
  if (frameOf(desk.fleet).rows.length > onTheSpotSegments)
    throw refuse('not-ready', 'The ranking of this revision is not made yet.');
  return fitNow(desk, asOf);
}

/** The day a year before. */
export const yearBefore = (asOf: string): string => isoOf(dayOf(asOf) - 365);

const ranksInMemory = new WeakMap<Fleet, { asOf: string; revision: number; rank: Int32Array }>();

/** Each segment's rank a year before (0: none), by its ordinal of today, where kept or quickly made; null otherwise. Of a revision. */
export function ranksLastYear(desk: Desk, asOf: string, revision = revisionOf(desk.fleet)): Int32Array | null {
  const { fleet } = desk;
  const before = yearBefore(asOf);
  const here = ranksInMemory.get(fleet);
  if (here?.asOf === before && here.revision === revision) return here.rank;
  const row = keptAnswer(fleet, ranksName, before, revision);
  if (!row && frameOf(fleet).rows.length > onTheSpotSegments) return null;
  const rank = row ? (unpack(row.bytes).columns.rank as Int32Array) : standingsAsOf(desk, before).rank;
  ranksInMemory.set(fleet, { asOf: before, revision, rank });
  return rank;
}

/** Fits and keeps the standings of a day and of a year before it. */
export function makeStandings(desk: Desk, asOf: string): Standings {
  standingsAsOf(desk, yearBefore(asOf));
  return standingsAsOf(desk, asOf);
}
