import { z } from 'zod';
import { ask } from '../ask.ts';
import { Day } from '../ids.ts';
import { outPath } from '../shapes/given.ts';

const CoverageRow = z.object({
  name: z.string(),
  tests: z.number().int(),
  inside90Pct: z.number().nullable(),
  /** Between what of these tests the interval would hold by chance alone, were it right, in 19 fleets of 20. */
  chanceAlonePct: z.strictObject({ lo: z.number(), hi: z.number() }).nullable(),
  inside50Pct: z.number().nullable(),
});

const CalibrationRow = z.object({
  fromPct: z.number(),
  toPct: z.number(),
  tests: z.number().int(),
  predictedPct: z.number().nullable(),
  happenedPct: z.number().nullable(),
});

export const Backtest = z.object({
  sentence: z.string(),
  basis: z.string(),
  coverage: z.array(CoverageRow),
  calibration: z.array(CalibrationRow),
  expected: z.number(),
  observed: z.number().int(),
  brier: z.number(),
  brierOfAverage: z.number(),
  /** Whether P(exceed) is corrected by it, and how. */
  correction: z.string(),
});
export type Backtest = z.infer<typeof Backtest>;

export const methodAsks = {
  'method.backtest': ask({
    kind: 'study',
    help: 'How well the method would have done on this fleet: each segment’s last test predicted from its earlier ones.',
    command: { word: 'backtest', opens: 'fleet' },
    input: z.strictObject({ asOf: Day.optional().describe('fixes today and hides what came later') }),
    output: Backtest,
  }),
  'method.check': ask({
    kind: 'study',
    help: 'Simulates fleets with known truth, fits them, and says how good ranking, intervals and chances are.',
    command: { word: 'check-method', opens: 'none' },
    input: z.strictObject({
      segments: z.number().int().min(200).max(50_000).default(2000).describe('segments in each fleet'),
      seed: z.number().int().min(0).default(1).describe('a number; another one makes other fleets of the same kinds'),
      regimes: z.array(z.string()).optional().describe('kinds of fleet, such as plain or messy; all by default'),
      svg: outPath.optional().describe('where to draw it'),
    }),
    output: z.object({
      sentence: z.string(),
      scores: z.array(
        z.object({
          fleet: z.string(),
          method: z.string(),
          rankCorrelation: z.number().nullable(),
          topFivePct: z.number().nullable(),
          inside90Pct: z.number().nullable(),
          inside90AcceleratingPct: z.number().nullable(),
          inside90TopPct: z.number().nullable(),
          brier: z.number().nullable(),
          expectedOverObserved: z.number().nullable(),
        }),
      ),
      families: z.array(
        z.object({
          fleet: z.string(),
          family: z.string(),
          segments: z.number().int(),
          inside90Pct: z.number().nullable(),
        }),
      ),
      written: z.array(z.string()),
    }),
  }),
} as const;
