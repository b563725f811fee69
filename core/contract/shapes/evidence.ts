import { z } from 'zod';
import { Day, SegmentId } from '../ids.ts';
import { Insulation } from './trade.ts';

/** One thing that verify found wrong. */
export const WrongRecord = z.object({
  kind: z.string(),
  /** Which record, in words. */
  name: z.string(),
  id: z.string().nullable(),
  ledgerLine: z.number().int().nullable(),
  says: z.string(),
  /** What it said before, where that can be told. */
  before: z.string().nullable(),
});

export const VerifyAnswer = z.object({
  of: z.enum(['fleet', 'bag']),
  intact: z.boolean(),
  sentence: z.string(),
  /** Everything wrong, counted; the first of them one by one. */
  wrongCount: z.number().int(),
  wrong: z.array(WrongRecord),
  head: z.object({ line: z.number().int(), hash: z.string(), at: z.string() }).nullable(),
  signatures: z.array(
    z.object({ line: z.number().int(), by: z.string(), at: z.string(), publicKey: z.string(), holds: z.boolean() }),
  ),
  checked: z.record(z.string(), z.number()),
  /** What no check inside the file can show. */
  limit: z.string(),
  seconds: z.number(),
});

export const Role = z.enum(['reader', 'recorder', 'approver']);
export const PersonRow = z.object({
  id: z.string(),
  name: z.string(),
  role: Role,
  leftOn: z.string().nullable(),
});

/** A value of a record's column as the ledger shows it. */
const Cell = z.union([z.string(), z.number(), z.null()]);
export const FieldChange = z.object({ field: z.string(), before: Cell, after: Cell });

export const LedgerEntry = z.object({
  line: z.number().int(),
  at: z.string(),
  who: z.string(),
  what: z.string(),
  why: z.string().nullable(),
  hash: z.string(),
  entity: z.string().nullable(),
  id: z.string().nullable(),
  /** The record the line is about, in words. */
  name: z.string().nullable(),
  /** Records the line wrote. */
  records: z.number().int(),
  /** What the line itself says was and is. */
  before: z.string().nullable(),
  after: z.string().nullable(),
  /** Records that the line changed, tests that a correction superseded first, with what changed in each; the first of them. */
  changes: z.array(z.object({ entity: z.string(), id: z.string(), name: z.string(), fields: z.array(FieldChange) })),
  changesTotal: z.number().int(),
});

export const LedgerFilter = z.strictObject({
  who: z.string().max(200).optional(),
  what: z.string().max(200).optional(),
  entity: z.string().max(40).optional(),
  id: z.uuid().optional(),
  from: Day.optional(),
  to: Day.optional(),
});

export const statuses = ['on time', 'early', 'late', 'missing', 'excused', 'open'] as const;
export const ComplianceStatus = z.enum(statuses);
export const StatusCounts = z.object({
  due: z.number().int(),
  onTime: z.number().int(),
  early: z.number().int(),
  late: z.number().int(),
  missing: z.number().int(),
  excused: z.number().int(),
  open: z.number().int(),
});

export const ComplianceRow = z.object({
  segmentId: SegmentId,
  segment: z.string(),
  segmentOwnerId: z.string(),
  feeder: z.string(),
  substation: z.string(),
  /** Rule and version, as it stood. */
  rule: z.string(),
  /** Which line of the rule made the due day, and what the test before found that it asks for. */
  because: z.string(),
  dueOn: z.string(),
  /** What the due day was counted from. */
  since: z.string(),
  doneOn: z.string().nullable(),
  testOwnerId: z.string().nullable(),
  daysLate: z.number().int().nullable(),
  status: ComplianceStatus,
  excuse: z.object({ reason: z.string(), until: z.string().nullable(), by: z.string(), at: z.string() }).nullable(),
});

/** What the last test found, told from its own record and the tests before it; one of those asked for is enough. */
export const LastWhen = z
  .strictObject({
    breakdown: z.literal(true).optional(),
    stopped: z.literal(true).optional(),
    /** The current rose while the voltage stood still. */
    rising: z.literal(true).optional(),
    /** Highest over lowest phase more than this. */
    phasesApartOver: z.number().min(1).max(1000).optional(),
    /** Specific leakage at 20 °C over this share of the limit. */
    levelOver: z.number().min(0.01).max(10).optional(),
    /** The whole 90 % interval of the segment's own growth lies over this. */
    growthOverPctPerYr: z.number().min(0).max(1000).optional(),
  })
  .refine((last) => Object.values(last).some((value) => value !== undefined), 'name one thing the last test found');

/** The rule on retest intervals: the first `when` that fits a segment and its last test gives its months. */
export const RetestRule = z.strictObject({
  kind: z.literal('retest interval'),
  cases: z
    .array(
      z.strictObject({
        when: z.strictObject({
          insulation: z.array(z.string()).optional(),
          ratedKvFrom: z.number().optional(),
          ratedKvTo: z.number().optional(),
          criticalLoad: z.boolean().optional(),
          alternateSupply: z.boolean().optional(),
          last: LastWhen.optional(),
        }),
        months: z.number().int().min(1).max(600),
      }),
    )
    .max(50),
  otherwiseMonths: z.number().int().min(1).max(600),
  /** A test more than this many days before its due day is early. */
  earlyDays: z.number().int().min(0).max(3660),
  /** A test up to this many days after its due day is on time. */
  graceDays: z.number().int().min(0).max(3660),
  /** The owner's limits when the rule was set, nS/km by insulation; filled in as it is set. */
  limitsNsPerKm: z.record(z.string(), z.number().min(1e-9)).optional(),
});
export type RetestRule = z.infer<typeof RetestRule>;

export const PolicyVersion = z.object({
  subject: z.string(),
  version: z.number().int(),
  /** Of our default, which stands where the owner has set none; null for the owner's rules. */
  edition: z.number().int().nullable(),
  inForceFrom: z.string(),
  words: z.string(),
  source: z.string(),
  rule: z.string(),
  /** False for our default. */
  set: z.boolean(),
  by: z.string().nullable(),
  at: z.string().nullable(),
});

/** A limit of specific leakage at 20 °C; `owners` false where it is our default for a cable of the usual build. */
export const LimitShown = z.object({
  insulation: Insulation,
  nsPerKm: z.number().nullable(),
  owners: z.boolean(),
  source: z.string(),
  setOn: z.string().nullable(),
  segments: z.number().int(),
});
