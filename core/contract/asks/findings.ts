import { z } from 'zod';
import { ask } from '../ask.ts';
import { Day, SegmentId } from '../ids.ts';
import { outPath, reason } from '../shapes/given.ts';

/** Growth in % a year and place in the ranking. */
const Place = z.object({ growthPctPerYr: z.number(), rank: z.number().int(), of: z.number().int() });

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
  /** What accepting it would change in the record, in a sentence. */
  effect: z.string(),
  /** How the fit takes it while nobody has judged it, in a sentence. */
  untilJudged: z.string(),
  /** How certain: it follows from the record itself, from comparison, or is a hint to look. */
  certainty: z.enum(['certain', 'likely', 'weak']),
  /**
   * Where its segment stands as the ranking is now, with this and its other findings accepted, and with them
   * dismissed; null where the segment is not ranked then, or where many segments are concerned.
   */
  places: z.object({ now: Place.nullable(), accepted: Place.nullable(), dismissed: Place.nullable() }).nullable(),
  /** How the fit takes it until then, and these places, in words. */
  ranking: z.string(),
  verdict: z
    .object({
      verdict: z.enum(['accepted', 'dismissed']),
      reason: z.string(),
      who: z.string(),
      on: z.string(),
      /** False where it was given before verdicts changed the numbers: given again, it does. */
      changesNumbers: z.boolean(),
    })
    .nullable(),
});
export type Finding = z.infer<typeof Finding>;

export const findingsAsks = {
  'findings.list': ask({
    kind: 'study',
    help: 'What looks wrong in the data, and why.',
    // The key and the bare places are for programs: the sentences say the same.
    command: { word: 'findings', opens: 'fleet', prints: { allBy: 'csv', hides: ['key', 'places', 'untilJudged'] } },
    input: z.strictObject({
      asOf: Day.optional().describe('fixes today and hides what came later'),
      csv: outPath.optional().describe('where to write all of them as CSV'),
    }),
    output: z.object({ sentence: z.string(), findings: z.array(Finding), written: z.array(z.string()) }),
  }),
  'finding.decide': ask({
    kind: 'write',
    help: 'Accepts or dismisses findings, with one reason that the ledger keeps in one line; the numbers follow. Where people are named, approvers judge.',
    input: z.strictObject({
      keys: z.array(z.string().min(1)).min(1).max(5000),
      verdict: z.enum(['accepted', 'dismissed']),
      reason,
    }),
    /** `changing`: how many of the verdicts change the numbers; one on a finding that is no longer seen does not. */
    output: z.object({ revision: z.number().int(), changing: z.number().int() }),
  }),
} as const;
