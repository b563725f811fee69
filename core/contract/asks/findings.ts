import { z } from 'zod';
import { ask } from '../ask.ts';
import { Day, SegmentId } from '../ids.ts';

export const Finding = z.object({
  /** Says what the finding is about; the same after a new fit of the same data. */
  key: z.string(),
  kind: z.string(),
  segment: z.object({ id: SegmentId, name: z.string(), ownerId: z.string() }).nullable(),
  testOwnerId: z.string().nullable(),
  on: z.string().nullable(),
  phase: z.string().nullable(),
  /** What was seen, in a sentence with its numbers. */
  seen: z.string(),
  /** What it would change. */
  effect: z.string(),
  verdict: z.object({ verdict: z.enum(['accepted', 'dismissed']), reason: z.string() }).nullable(),
});
export type Finding = z.infer<typeof Finding>;

export const findingsAsks = {
  'findings.list': ask({
    kind: 'study',
    help: 'What looks wrong in the data, and why.',
    command: { word: 'findings', opens: 'fleet' },
    input: z.strictObject({ asOf: Day.optional().describe('fixes today and hides what came later') }),
    output: z.object({ sentence: z.string(), findings: z.array(Finding) }),
  }),
  'finding.decide': ask({
    kind: 'write',
    help: 'Accepts or dismisses a finding, with a reason that the ledger keeps.',
    input: z.strictObject({
      key: z.string().min(1),
      verdict: z.enum(['accepted', 'dismissed']),
      reason: z.string().trim().min(3, 'say why in a few words'),
    }),
    output: z.object({ revision: z.number().int() }),
  }),
} as const;
