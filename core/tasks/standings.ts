import type { Backtest } from '../contract/asks/method.ts';
import type { FitReport } from '../contract/asks/ranking.ts';

import { refuse } from '../contract/problem.ts';
import { backtest } from '../growth/backtest.ts';
import type { ReadingBasis } from '../growth/expectReading.ts';
import { fitGrowth } from '../growth/fitGrowth.ts';
import { type KeptRow, keptAnswer } from '../store/kept.ts';
import type { Fleet } from '../store/sql.ts';
import type { Entity } from '../store/tables.ts';
import { backtestRows } from './backtest-rows.ts';
import { dayOf, isoOf } from './days.ts';
import type { Desk } from './desk.ts';
import { fitStandings } from './fit-standings.ts';
import { readColumns } from './fleet-columns.ts';
import { frameOf } from './frame.ts';
import { isKept, keep, keptKind, keptNow, revisionFor } from './kept-answers.ts';
import { keepColumns, type LaterColumns, openColumns } from './kept-columns.ts';
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
  /** The last ledger line that they may have been drawn from. */
  readonly revision: number;
}

/** Fleets up to this size are fitted on the spot; larger ones ask for `ranking.make`. */
export const onTheSpotSegments = 2500;
/** Raise the edition with every change that alters a computed number, so that none of an older one is taken up. */
const edition = 15;
export const standingsName = `standings, edition ${edition}`;
/** What no fit of growth reads. */
export const besideGrowth = [
  'splice',
  'termination',
  'calibration',
  'source_file',
  'trace',
  'person',
  'policy',
  'excuse',
  'cost',
  'plan',
  'layout',
] as const satisfies readonly Entity[];
/** Where segments lie and what they are called is not fitted, but lists in order of it are held with the standings. */
const standingsKind = keptKind({ name: standingsName, passesOver: besideGrowth, servesOn: true });
/** Two thirds of them, which neither the tree nor most lists look at. */
const later: readonly LaterColumns[] = [
  {
    kind: keptKind({ name: `parts of standings, edition ${edition}`, passesOver: besideGrowth, servesOn: true }),
    names: [
      'partWeight',
      'partLevel',
      'partSlope',
      'partLevelVariance',
      'partCovariance',
      'partSlopeVariance',
    ] satisfies (keyof StandingColumns)[],
  },
  {
    kind: keptKind({ name: `readings of standings, edition ${edition}`, passesOver: besideGrowth, servesOn: true }),
    names: [
      'readingAdjusted',
      'readingFlag',
      'readingReason',
      'readingFactor',
      'readingSurprise',
    ] satisfies (keyof StandingColumns)[],
  },
];
/** The ranks alone, a hundredth of the rest: all that is asked of an earlier day when the ranking is opened. */
const ranksKind = keptKind({ name: `ranks, edition ${edition}`, passesOver: besideGrowth });

/** How far the fit of a day can be trusted: small, and asked for beside the ranking. */
const backtestKind = keptKind({ name: `backtest, edition 2, as ${standingsName}`, passesOver: besideGrowth });

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

/** The last ledger line that standings can be drawn from: those of an earlier one are outdated. */
export const standingsRevision = (fleet: Fleet): number => revisionFor(fleet, standingsKind);

/** The standings of a day as they stand, or null. Never fits. */
export function keptStandings({ fleet }: Desk, asOf: string): Standings | null {
  const revision = standingsRevision(fleet);
  const here = inMemory.get(fleet)?.get(asOf);
  if (here?.revision === revision) return here;
  const row = keptNow(fleet, standingsKind, asOf);
  const kept = row && opened(fleet, asOf, row, revision);
  return kept ? remember(fleet, kept) : null;
}

/** Whether the standings of a day are at hand, without opening them. */
export function areStandingsKept({ fleet }: Desk, asOf: string): boolean {
  const revision = standingsRevision(fleet);
  if (inMemory.get(fleet)?.get(asOf)?.revision === revision) return true;
  return isKept(fleet, standingsKind, asOf);
}

/** The last standings of a day there are, outdated or not, or null. Never fits. */
export function earlierStandings({ fleet }: Desk, asOf: string): Standings | null {
  const here = inMemory.get(fleet)?.get(asOf) ?? null;
  const row = keptAnswer(fleet, standingsName, asOf, (here?.revision ?? -1) + 1);
  const earlier = row && opened(fleet, asOf, row);
  return earlier ? remember(fleet, earlier) : here;
}

/** `revision` is that of which it is now; the row may have been made for a later one. */
function opened(fleet: Fleet, asOf: string, row: KeptRow, revision = row.revision): Standings | null {
  const answer = openColumns(fleet, later, asOf, row);
  return answer && (Object.assign(answer, { revision }) as Standings);
}

function fitNow(desk: Desk, asOf: string): Standings {
  const { fleet } = desk;
  const revision = standingsRevision(fleet);
  const { facts, columns, tested } = fitStandings(desk, asOf);
  const packable = columns as unknown as { [name: string]: Packable };
  keepColumns(desk, standingsKind, later, { asked: asOf, revision, facts, columns: packable });
  keep(desk, ranksKind, asOf, revision, () => pack(null, { rank: columns.rank }));
  keep(desk, backtestKind, asOf, revision, () => pack(backtestRows(tested), {}));
  return remember(fleet, { ...facts, ...columns, revision });
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
export function ranksLastYear(desk: Desk, asOf: string, revision = standingsRevision(desk.fleet)): Int32Array | null {
  const { fleet } = desk;
  const before = yearBefore(asOf);
  const here = ranksInMemory.get(fleet);
  if (here?.asOf === before && here.revision === revision) return here.rank;
  const row = keptAnswer(fleet, ranksKind.name, before, revision);
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

/** How well each segment's last test up to a day is told from its earlier ones; kept with the standings of that day. */
export function backtestAsOf(desk: Desk, asOf: string): Backtest {
  const { fleet } = desk;
  const revision = revisionFor(fleet, backtestKind);
  const row = keptNow(fleet, backtestKind, asOf);
  if (row) return unpack(row.bytes).plain as Backtest;
  const fit = fitGrowth(readColumns(desk, asOf).columns, {}, (share) => {
    desk.checkStop();
    desk.progress(Math.round(share * 100), 100, 'fitting growth');
  });
  const rows = backtestRows(backtest(fit));
  keep(desk, backtestKind, asOf, revision, () => pack(rows, {}));
  return rows;
}
