import { z } from 'zod';
import { ask } from '../ask.ts';
import { PlanId, SegmentId } from '../ids.ts';
import { outPath, paper, reason } from '../shapes/given.ts';
import { known, MadeFile } from '../shapes/known.ts';
import { CostRow, KeptPlan, PlanQuestion, PlanResult } from '../shapes/plan.ts';

const boardPaper = paper.describe('of the plan for the board');

const PlanLine = z.object({
  name: z.string(),
  currency: z.string().nullable(),
  spent: z.number(),
  costPv: z.number(),
  riskRemovedPv: z.number(),
  riskLeftPv: z.number(),
  netPv: z.number(),
  failures: z.array(
    z.object({ year: z.number().int(), expected: z.object({ mean: z.number(), lo: z.number(), hi: z.number() }) }),
  ),
  customerMinutes: z.number(),
});

/** A plan under changed terms, in sums. */
export const WhatIfRow = z.object({
  words: z.string(),
  works: z.number().int(),
  paying: z.number().int(),
  spent: z.number(),
  riskRemovedPv: z.number(),
  riskLeftPv: z.number(),
  netPv: z.number(),
  /** Expected over the plan's years. */
  failures: z.number(),
});
export type WhatIfRow = z.infer<typeof WhatIfRow>;

export const planAsks = {
  'plan.make': ask({
    kind: 'study',
    help: 'The capital plan: what to do in which year under the budget, and what waiting costs.',
    command: {
      word: 'plan',
      opens: 'fleet',
      prints: { rows: 30, allBy: 'csv', hides: ['asked', 'costs', 'waiting', 'customerMinutesBefore'] },
    },
    input: PlanQuestion.extend({
      csv: outPath.optional().describe('where to write the plan as CSV'),
      xlsx: outPath.optional().describe('where to write the plan as a workbook'),
      pdf: outPath.optional().describe('where to write the plan for the board'),
      paper: boardPaper,
      whatIf: z
        .boolean()
        .default(false)
        .describe(
          'also with a fifth less and more money, other discount rates, faster rising failure rates: each solved anew',
        ),
    }),
    output: PlanResult.extend({
      sentence: z.string(),
      whatIf: z.array(WhatIfRow).optional(),
      written: z.array(z.string()),
    }),
  }),
  'plan.price': ask({
    kind: 'study',
    help: 'What a wish would cost: the plan again with it, and the difference with its bounds.',
    input: z.strictObject({ before: PlanQuestion, after: PlanQuestion }),
    output: z.object({
      before: PlanResult,
      after: PlanResult,
      /** What the plan loses of what it seeks, with bounds; and of its net present value. */
      price: known({
        amount: z.number(),
        lo: z.number().nullable(),
        hi: z.number().nullable(),
        net: z.number(),
      }),
    }),
  }),
  'plan.whatIf': ask({
    kind: 'study',
    help: 'How a plan stands if its budget, discount rate or the hazards were others: each solved anew.',
    input: z.strictObject({ question: PlanQuestion }),
    output: z.object({ rows: z.array(WhatIfRow) }),
  }),
  'plan.file': ask({
    kind: 'study',
    help: 'A plan as a file: for the board (PDF) or the budget system (XLSX, CSV). A kept plan is printed as it was made.',
    input: z.strictObject({
      asked: z.string(),
      question: PlanQuestion,
      format: z.enum(['pdf', 'xlsx', 'csv']),
      paper: boardPaper,
    }),
    output: MadeFile,
  }),
  'plan.tests': ask({
    kind: 'study',
    help: 'Retest first: the tests whose readings would improve the plan most, within the crew days.',
    input: z.strictObject({ question: PlanQuestion, crewDays: z.number().positive().max(5000).default(40) }),
    output: z.object({
      sentence: z.string(),
      caution: z.string(),
      tests: z.array(
        z.object({
          segmentId: SegmentId,
          segment: z.string(),
          name: z.string(),
          feeder: z.string(),
          value: z.number(),
          cost: z.number(),
          crewDays: z.number(),
          about: z.string(),
        }),
      ),
    }),
  }),
  'plan.consequence': ask({
    kind: 'read',
    help: 'What one failure of a segment would cost, part by part.',
    input: z.strictObject({ segmentId: SegmentId }),
    output: z.object({
      parts: z.array(z.object({ name: z.string(), amount: known({ value: z.number() }) })),
      total: z.number(),
      complete: z.boolean(),
      customersInterrupted: known({ value: z.number() }),
      customerMinutes: known({ value: z.number() }),
    }),
  }),
  'plan.costs': ask({
    kind: 'read',
    help: "The owner's money figures, with our defaults where none is set, and their sources.",
    input: z.strictObject({}),
    output: z.object({ currency: z.string().nullable(), costs: z.array(CostRow) }),
  }),
  'plan.setCurrency': ask({
    kind: 'write',
    help: 'Names the currency of all money figures; it converts none of them.',
    input: z.strictObject({
      currency: z.string().trim().min(1).max(40).nullable().describe('ISO 4217 code or a name; null for none'),
      source: z.string().trim().min(3, 'say who decided it').max(500),
    }),
    output: z.object({ revision: z.number().int() }),
  }),
  'plan.setCost': ask({
    kind: 'write',
    help: 'Sets one money figure, with its source; plans made from then on count by it.',
    input: z.strictObject({ name: z.string(), value: z.number(), source: z.string().trim().min(3).max(500) }),
    output: z.object({ revision: z.number().int() }),
  }),
  'plan.save': ask({
    kind: 'write',
    help: 'Keeps a plan that was made, under a name.',
    input: z.strictObject({ asked: z.string(), name: z.string().trim().min(1).max(200) }),
    output: z.object({ id: PlanId, revision: z.number().int() }),
  }),
  'plan.list': ask({
    kind: 'read',
    help: 'Plans kept, newest first.',
    input: z.strictObject({}),
    output: z.object({ plans: z.array(KeptPlan) }),
  }),
  'plan.get': ask({
    kind: 'read',
    help: 'A kept plan as it was made.',
    input: z.strictObject({ id: PlanId }),
    output: z.object({ plan: KeptPlan, result: PlanResult }),
  }),
  'plan.approve': ask({
    kind: 'write',
    help: 'Approves a kept plan; from then on it is locked.',
    input: z.strictObject({ id: PlanId, reason }),
    output: z.object({ revision: z.number().int() }),
  }),
  'plan.compare': ask({
    kind: 'read',
    help: 'Kept plans side by side.',
    input: z.strictObject({ ids: z.array(PlanId).min(2).max(6) }),
    output: z.object({ plans: z.array(PlanLine) }),
  }),
} as const;
