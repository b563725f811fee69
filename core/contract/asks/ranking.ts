import { z } from 'zod';
import { ask } from '../ask.ts';
import { Day, FeederId, SubstationId } from '../ids.ts';
import { outPath, paper } from '../shapes/given.ts';
import { moveReasons, RankMove } from '../shapes/rank-move.ts';
import { RankingRow } from '../shapes/standing.ts';
import { Insulation } from '../shapes/trade.ts';

export const RankingFilter = z.strictObject({
  substationId: SubstationId.optional(),
  feederId: FeederId.optional(),
  insulation: z.array(Insulation).optional(),
  ratedKv: z.array(z.number()).optional(),
  text: z.string().max(200).optional(),
  /** Growth of which the 90 % interval lies above none; or the limit passed within five years more likely than not. */
  only: z.enum(['growing', 'exceeding']).optional(),
});
export type RankingFilter = z.infer<typeof RankingFilter>;

export const rankingOrders = [
  'growth',
  'level',
  'pExceed5y',
  'crossing',
  'name',
  'tests',
  'energised',
  'length',
] as const;

/** Columns of the ranking that a person may leave out, on the screen and on paper. */
export const rankingColumns = ['moved', 'insulation', 'level', 'crossing', 'p5', 'tests', 'strip'] as const;
export type RankingColumn = (typeof rankingColumns)[number];

/** Rows of a printed ranking where no other number is asked for, and at most. */
export const printedRows = { usual: 500, most: 2000 } as const;

const Estimate = z.object({
  name: z.string(),
  value: z.number(),
  se: z.number().nullable(),
  unit: z.string(),
  prior: z.string().nullable(),
});

export const FitReport = z.object({
  asOf: z.string(),
  segments: z.number().int(),
  ranked: z.number().int(),
  readings: z.number().int(),
  events: z.number().int(),
  censoredEvents: z.number().int(),
  repairedReadings: z.number().int(),
  duplicateReadings: z.number().int(),
  passes: z.number().int(),
  converged: z.boolean(),
  criterion: z.number(),
  estimates: z.array(Estimate),
  seconds: z.number(),
});
export type FitReport = z.infer<typeof FitReport>;

/** What a cohort lends its segments, then and now, % a year. */
const CohortMove = z.object({ cohort: z.string(), growthThen: z.number(), growthNow: z.number() });

export const rankingAsks = {
  'ranking.make': ask({
    kind: 'study',
    help: 'Fits growth and forecast for the whole fleet and keeps them for this revision.',
    input: z.strictObject({ asOf: Day.optional() }),
    output: FitReport,
  }),
  'ranking.page': ask({
    kind: 'read',
    help: 'A stretch of the ranking, sorted and filtered.',
    input: z.strictObject({
      from: z.number().int().min(0).default(0),
      count: z.number().int().min(1).max(1000).default(100),
      order: z.enum(rankingOrders).default('growth'),
      descending: z.boolean().default(true),
      filter: RankingFilter.default({}),
    }),
    output: z.object({
      asOf: z.string(),
      total: z.number().int(),
      unranked: z.number().int(),
      rows: z.array(RankingRow),
      /** Common scale of the interval rows, % a year. */
      scale: z.object({ lo: z.number(), hi: z.number() }),
    }),
  }),
  'ranking.moves': ask({
    kind: 'study',
    help: 'What changed in the ranking since an earlier day, with reasons.',
    input: z.strictObject({
      /** A year before today where not given. */
      since: Day.optional(),
      reason: z.enum(moveReasons).optional(),
      order: z.enum(['rank', 'places']).default('rank'),
      count: z.number().int().min(1).max(2000).default(200),
    }),
    output: z.object({
      since: z.string(),
      asOf: z.string(),
      /** The day of the last approved plan, where there is one. */
      approvedPlanOn: z.string().nullable(),
      sentence: z.string(),
      basis: z.string(),
      counts: z.array(z.object({ reason: z.enum(moveReasons), moves: z.number().int() })),
      cohorts: z.array(CohortMove),
      total: z.number().int(),
      rows: z.array(RankMove),
      /** Common scale of the interval rows, % a year. */
      scale: z.object({ lo: z.number(), hi: z.number() }),
    }),
  }),
  'ranking.print': ask({
    kind: 'study',
    help: 'The ranking as a PDF, in the order and under the filter of a view; the head of it where it is long.',
    input: z.strictObject({
      pdf: outPath,
      paper,
      first: z.number().int().min(1).max(printedRows.most).default(printedRows.usual),
      order: z.enum(rankingOrders).default('growth'),
      descending: z.boolean().default(true),
      filter: RankingFilter.default({}),
      without: z.array(z.enum(rankingColumns)).default([]),
    }),
    output: z.object({ printed: z.number().int(), total: z.number().int() }),
  }),
  'ranking.choices': ask({
    kind: 'read',
    help: 'What the ranking can be filtered by.',
    input: z.strictObject({}),
    output: z.object({
      substations: z.array(z.object({ id: SubstationId, name: z.string() })),
      insulations: z.array(Insulation),
      ratedKv: z.array(z.number()),
    }),
  }),
  'ranking.feeders': ask({
    kind: 'read',
    help: 'The feeders of a substation, or of all.',
    input: z.strictObject({ substationId: SubstationId.optional() }),
    output: z.object({
      feeders: z.array(z.object({ id: FeederId, substationId: SubstationId, name: z.string() })),
    }),
  }),
  'ranking.list': ask({
    kind: 'study',
    help: 'The growth ranking.',
    command: { word: 'rank', opens: 'fleet' },
    input: z.strictObject({
      top: z.number().int().min(1).default(20).describe('how many to print'),
      asOf: Day.optional().describe('fixes today and hides what came later'),
      csv: outPath.optional().describe('where to write the whole ranking as CSV'),
      pdf: outPath.optional().describe(`where to print it as PDF, the first ${printedRows.usual} of it`),
      paper: paper.describe('of the PDF'),
      since: Day.optional().describe('says what moved since that day, and why'),
      sincePlan: z.boolean().default(false).describe('the same, since the day of the last approved plan'),
      movesCsv: outPath.optional().describe('where to write every move as CSV; a year back without --since'),
    }),
    output: z.object({
      sentence: z.string(),
      rows: z.array(
        z.object({
          rank: z.number().int(),
          segment: z.string(),
          name: z.string(),
          growthPctPerYr: z.number(),
          lo: z.number(),
          hi: z.number(),
          levelNsPerKm: z.number(),
          /** Where one phase surely stands above the others: 'C 38.1'. */
          highPhase: z.string().nullable(),
          tests: z.number().int(),
          pExceed5y: z.number(),
          crosses: z.string(),
        }),
      ),
      unranked: z.array(z.object({ segment: z.string(), because: z.string() })),
      /** What moved, where that was asked. */
      moves: z
        .object({
          sentence: z.string(),
          basis: z.string(),
          cohorts: z.array(CohortMove),
        })
        .nullable(),
      moved: z.array(
        z.object({
          rankThen: z.number().int().nullable(),
          rank: z.number().int().nullable(),
          segment: z.string(),
          name: z.string(),
          growthThen: z.string().nullable(),
          growthNow: z.string().nullable(),
          because: z.string(),
        }),
      ),
      fit: FitReport,
      written: z.array(z.string()),
    }),
  }),
  'forecast.list': ask({
    kind: 'study',
    help: 'Crossing and failure probabilities by year.',
    command: { word: 'forecast', opens: 'fleet' },
    input: z.strictObject({
      years: z.number().int().min(1).max(50).default(10).describe('years ahead'),
      top: z.number().int().min(1).default(20).describe('how many to print'),
      asOf: Day.optional().describe('fixes today and hides what came later'),
      csv: outPath.optional().describe('where to write every segment and year as CSV'),
    }),
    output: z.object({
      caution: z.string(),
      sentence: z.string(),
      fleetByYear: z.array(
        z.object({
          year: z.number().int(),
          /** Segments above the limit by the end of the year, those above it already among them. */
          expectedAboveLimit: z.number(),
          /** Segments that fail at least once in the year, as the plan counts them. */
          expectedFailures: z.number().nullable(),
        }),
      ),
      rows: z.array(
        z.object({
          segment: z.string(),
          name: z.string(),
          crosses: z.string(),
          pExceed: z.array(z.number()),
          pFail: z.array(z.number()).nullable(),
        }),
      ),
      failureModel: z.array(z.string()),
      written: z.array(z.string()),
    }),
  }),
} as const;
