import { z } from 'zod';
import { PlanId, SegmentId } from '../ids.ts';
import { known } from './known.ts';

export const PlanAction = z.enum(['replace', 'replace_with_neighbours', 'fluid_injection', 'splice_renewal']);
export const ActionKind = z.enum(['replace', 'fluid_injection', 'splice_renewal']);

/** What the owner insists on for one segment, by the owner's id. Years are calendar years, both ends included. */
export const PlanWish = z.discriminatedUnion('kind', [
  z.strictObject({
    kind: z.literal('must'),
    segment: z.string(),
    fromYear: z.number().int().optional(),
    toYear: z.number().int().optional(),
  }),
  z.strictObject({
    kind: z.literal('must-not'),
    segment: z.string(),
    fromYear: z.number().int().optional(),
    toYear: z.number().int().optional(),
  }),
  z.strictObject({ kind: z.literal('pin'), segment: z.string(), year: z.number().int().nullable() }),
]);
export type PlanWish = z.infer<typeof PlanWish>;

/** The question a plan answers. Money in the currency of the costs; rates as a share, 0.05 for 5 %. */
export const PlanQuestion = z.strictObject({
  budget: z.number().positive().max(1e12).describe('money for each year'),
  years: z.number().int().min(1).max(30).default(10).describe('years in which work can be done'),
  start: z.number().int().min(1990).max(2200).optional().describe('first year; the coming one by default'),
  discountRate: z.number().min(0).max(0.3).default(0.05).describe('real discount rate a year, 0.05 for 5 %'),
  horizon: z.number().int().min(1).max(60).default(20).describe('years over which risk is counted'),
  carryOver: z.boolean().default(true).describe('money left over goes into the next year'),
  crewKm: z.number().positive().max(1e6).optional().describe('kilometres the crews can work on in a year'),
  hazardGrowth: z
    .number()
    .min(-0.2)
    .max(0.5)
    .default(0)
    .describe('scenario: failure rates rise faster than fitted, by 0.02 for 2 % a year'),
  objective: z
    .enum(['risk-removed', 'net-benefit'])
    .default('risk-removed')
    .describe('what is maximised: the risk removed within the budget, or net present value (may leave money unspent)'),
  wishes: z
    .array(PlanWish)
    .default([])
    .describe(
      'what is insisted on, by segment: [{"kind":"pin","segment":"S1","year":2028}]; kinds pin (year null: left out), must, must-not (fromYear, toYear)',
    ),
});
export type PlanQuestion = z.infer<typeof PlanQuestion>;

/** One of the owner's money figures, as a plan was or would be made with it. */
export const CostRow = z.object({
  name: z.string(),
  words: z.string(),
  value: z.number(),
  unit: z.string(),
  source: z.string(),
  /** The owner has set it; otherwise it is our default. */
  set: z.boolean(),
});
export type CostRow = z.infer<typeof CostRow>;

/** An expected count, and whole counts that hold it with a probability of 90 % or more. */
const Expected = z.object({ mean: z.number(), lo: z.number(), hi: z.number() });
const Amount = known({ amount: z.number() });

export const PlanItemRow = z.object({
  segmentId: SegmentId,
  segment: z.string(),
  name: z.string(),
  feeder: z.string(),
  year: z.number().int(),
  action: PlanAction,
  /** With its share of the setting up on its feeder. */
  cost: z.number(),
  /** Risk removed. */
  benefitPv: z.number(),
  costPv: z.number(),
  /** What new cable is still worth at the horizon. */
  residualPv: z.number(),
  /** benefitPv − costPv + residualPv. */
  netPv: z.number(),
  lengthM: z.number(),
  forced: z.enum(['must', 'pin']).nullable(),
  /** What leaving it one more year is expected to cost, net, all else as it is; null where it cannot be told. */
  costOfWaiting: z.number().nullable(),
  /** Its parts in present value: risk that stays − interest saved − what the cable is worth more by being a year younger. */
  waiting: z.object({ riskKept: z.number(), interestSaved: z.number(), residualGained: z.number() }).nullable(),
});
export type PlanItemRow = z.infer<typeof PlanItemRow>;

export const PlanYearRow = z.object({
  year: z.number().int(),
  budget: z.number(),
  carriedIn: z.number(),
  spent: z.number(),
  carried: z.number(),
  crewKm: z.number(),
  riskBefore: z.number(),
  riskRemoved: z.number(),
  riskLeft: z.number(),
  failuresBefore: Expected,
  failures: Expected,
  customerMinutesBefore: z.number(),
  customerMinutes: z.number(),
  saidiMinutes: Amount,
  saifi: Amount,
});
export type PlanYearRow = z.infer<typeof PlanYearRow>;

/** A plan as it is shown, kept and printed. */
export const PlanResult = z.object({
  /** Names this answer: the same question of the same revision has the same. */
  asked: z.string(),
  revision: z.number().int(),
  asOf: z.string(),
  question: PlanQuestion,
  status: z.enum(['optimal', 'within-gap', 'node-limit', 'time-limit', 'stopped', 'infeasible']),
  /** What the status means, in a sentence. */
  says: z.string(),
  objectivePv: z.number(),
  gap: Amount,
  greedyPv: Amount,
  spent: z.number(),
  costPv: z.number(),
  benefitPv: z.number(),
  residualPv: z.number(),
  riskPvBefore: z.number(),
  riskPvLeft: z.number(),
  candidates: z.number().int(),
  items: z.array(PlanItemRow),
  byYear: z.array(PlanYearRow),
  leftOut: z.array(
    z.object({
      segmentId: SegmentId,
      segment: z.string(),
      name: z.string(),
      feeder: z.string(),
      priceOfLeaving: z.number(),
      bestYear: z.number().int(),
      bestAction: ActionKind,
      cost: z.number(),
    }),
  ),
  leftOutTotal: z.number().int(),
  conflicts: z.array(z.object({ message: z.string(), segments: z.array(z.string()) })),
  assumptions: z.array(z.string()),
  failureModel: z.array(z.string()),
  caution: z.string(),
  /** The money figures it was made with, and the currency they were in; null where none was named. */
  costs: z.array(CostRow),
  currency: z.string().nullable(),
});
export type PlanResult = z.infer<typeof PlanResult>;

export const KeptPlan = z.object({
  id: PlanId,
  name: z.string(),
  madeAt: z.string(),
  /** null where the ledger does not say. */
  keptBy: z.string().nullable(),
  revision: z.number().int(),
  state: z.enum(['draft', 'approved']),
  approvedAt: z.string().nullable(),
  approvedBy: z.string().nullable(),
  spent: z.number(),
  currency: z.string().nullable(),
  items: z.number().int(),
  objectivePv: z.number(),
  /** True where the fleet has changed since. */
  stale: z.boolean(),
});
export type KeptPlan = z.infer<typeof KeptPlan>;
