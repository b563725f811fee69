import { z } from 'zod';
import { SegmentId } from '../ids.ts';
import { Interval90, known } from './known.ts';
import { YearStrip } from './strip.ts';
import { Insulation, Phase } from './trade.ts';

/** When the forecast reaches the limit: calendar years with fraction; null means not within the horizon. */
export const Crossing = z.object({
  year: z.number().nullable(),
  lo: z.number().nullable(),
  hi: z.number().nullable(),
  /** Above the limit already, with at least 95 % probability. */
  aboveNow: z.boolean(),
  /** Calendar year in which the horizon ends. */
  horizonYear: z.number(),
});
export type Crossing = z.infer<typeof Crossing>;

/** The phase that surely stands above the mean of its segment's, of which level, limit and chances speak. */
export const HighPhase = z.object({
  phase: Phase,
  levelNsPerKm: z.number(),
  /** % a year where it also grows fastest. */
  growthPctPerYr: z.number().nullable(),
  aboveLimit: z.boolean(),
});
export type HighPhase = z.infer<typeof HighPhase>;

/** Where a segment stands in the ranking, and how sure that is. */
export const Standing = known({
  rank: z.number().int(),
  rankedSegments: z.number().int(),
  growthPctPerYr: Interval90,
  pGrowing: z.number(),
  levelNsPerKm: Interval90,
  limitNsPerKm: z.number().nullable(),
  limitSource: z.string(),
  crossing: Crossing,
  /** Probability that the level exceeds the limit within 1, 2, 5, 10 years. */
  pExceed: z.object({ y1: z.number(), y2: z.number(), y5: z.number(), y10: z.number() }),
  tests: z.number().int(),
  /** Share of the fleet that grows more slowly, 0 … 100. */
  fasterThanPct: z.number(),
  /** How much of the estimate is the segment's own readings, 0 … 100; the cohort lends the rest. */
  ownSharePct: z.number(),
  pAccelerating: z.number(),
  /** Chance that one phase ages on its own and lifts the mean of the phases. */
  pOnePhase: z.number(),
  worstPhase: z.object({ phase: Phase, growthPctPerYr: z.number() }).nullable(),
  highPhase: HighPhase.nullable(),
  censoredTests: z.number().int(),
  leftOutReadings: z.number().int(),
  /** First day of the present era where an intervention began one. */
  eraSince: z.string().nullable(),
  eraBecause: z.string().nullable(),
  cohort: z.string(),
  cohortGrowthPctPerYr: z.number(),
  theilSenPctPerYr: z.number().nullable(),
  mannKendallP: z.number().nullable(),
});
export type Standing = z.infer<typeof Standing>;

/** A row of the ranking. */
export const RankingRow = z.object({
  id: SegmentId,
  ownerId: z.string(),
  name: z.string(),
  feeder: z.string(),
  substation: z.string(),
  insulation: Insulation,
  energisedYear: z.number().int().nullable(),
  ratedKv: z.number().nullable(),
  lengthM: z.number(),
  rank: z.number().int().nullable(),
  /** Rank a year ago, null where it had none. */
  rankLastYear: z.number().int().nullable(),
  growthPctPerYr: Interval90.nullable(),
  pGrowing: z.number().nullable(),
  levelNsPerKm: z.number().nullable(),
  highPhase: HighPhase.nullable(),
  limitNsPerKm: z.number().nullable(),
  pExceed5y: z.number().nullable(),
  crossing: Crossing.nullable(),
  tests: z.number().int(),
  /** Why there is no rank, where there is none. */
  because: z.string().nullable(),
  strip: YearStrip,
});
export type RankingRow = z.infer<typeof RankingRow>;
