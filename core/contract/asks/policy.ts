import { z } from 'zod';
import { ask } from '../ask.ts';
import { Day, SegmentId } from '../ids.ts';
import { LimitShown, PolicyVersion, RetestRule } from '../shapes/evidence.ts';
import { reason } from '../shapes/given.ts';
import { DueCounts } from '../shapes/retest.ts';
import { Insulation } from '../shapes/trade.ts';

export const policyAsks = {
  'policy.list': ask({
    kind: 'read',
    help: "The owner's rules with all their versions, and our defaults where none is set.",
    input: z.strictObject({}),
    output: z.object({ versions: z.array(PolicyVersion) }),
  }),
  'policy.setRetest': ask({
    kind: 'write',
    help: 'Sets a new version of the rule on retest intervals; older versions stay for their time.',
    input: z.strictObject({
      rule: RetestRule,
      words: z
        .string()
        .trim()
        .min(10)
        .max(4000)
        .optional()
        .describe('the rule as people read it; written from the rule where left out'),
      source: z.string().trim().min(3).max(1000),
      inForceFrom: Day,
      reason,
    }),
    output: z.object({ version: z.number().int(), revision: z.number().int() }),
  }),
  'policy.previewRetest': ask({
    kind: 'study',
    help: 'What a rule on retest intervals would change, before it is set: due days that move, tests that become overdue.',
    input: z.strictObject({ rule: RetestRule, inForceFrom: Day }),
    output: z.object({
      words: z.string(),
      sentence: z.string(),
      on: z.string(),
      before: DueCounts,
      after: DueCounts,
      sooner: z.number().int(),
      later: z.number().int(),
      /** Due on the day the rule comes into force, since it asks for no day before. */
      atOnce: z.number().int(),
      /** Overdue by the rule as it would be and not as it is, and the other way round. */
      becomeOverdue: z.number().int(),
      noLongerOverdue: z.number().int(),
      /** The first of those whose day moves, those that become overdue before the rest. */
      moved: z.array(
        z.object({
          segmentOwnerId: z.string(),
          segment: z.string(),
          feeder: z.string(),
          before: z.string(),
          after: z.string(),
          because: z.string(),
          becomesOverdue: z.boolean(),
        }),
      ),
    }),
  }),
  'policy.limits': ask({
    kind: 'read',
    help: 'The limit of specific leakage by insulation: the owner’s, or our default for a usual cable.',
    input: z.strictObject({}),
    output: z.object({ limits: z.array(LimitShown) }),
  }),
  'policy.setLimits': ask({
    kind: 'write',
    help: 'Sets the owner’s limits of specific leakage; the ranking and the plan count by them from then on.',
    input: z.strictObject({
      limits: z
        .array(z.strictObject({ insulation: Insulation, nsPerKm: z.number().min(1e-6).max(1e6) }))
        .min(1)
        .max(20),
      source: z.string().trim().min(3).max(1000),
      reason,
    }),
    output: z.object({ set: z.number().int(), revision: z.number().int() }),
  }),
  'excuse.add': ask({
    kind: 'write',
    help: 'Excuses a test that was due, with a reason that the ledger keeps.',
    input: z.strictObject({ segmentId: SegmentId, dueOn: Day, until: Day.nullable().default(null), reason }),
    output: z.object({ id: z.string(), revision: z.number().int() }),
  }),
} as const;
