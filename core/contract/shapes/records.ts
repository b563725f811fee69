import { z } from 'zod';
import { Day, InstrumentId, SegmentId, TestEventId } from '../ids.ts';
import { known } from './known.ts';
import { Outcome, Phase, TestMethod, TestPurpose } from './trade.ts';

const number = z.number().nullable();

export const SampleRole = z.enum(['time', 'date', 'voltage', 'current', 'resistance', 'other']);

/** What one tester's file says, as machines take it: null for unknown. The keys are fixed; others read them. */
export const TraceRow = z.object({
  file: z.string().meta({ path: 'in' }),
  ok: z.boolean(),
  /** Why the file was refused; null where it was read. */
  reason: z.string().nullable(),
  outcome: Outcome.nullable(),
  voltage_kv: number,
  ramp_kv_per_s: number,
  dwell_s: number,
  leakage_ua: number,
  leakage_spread_ua: number,
  resistance_mohm: number,
  one_minute_ua: number,
  absorption_ratio: number,
  absorption_n: number,
  steady_ua: number,
  capacitance_nf: number,
  steps: z.array(z.object({ voltage_kv: z.number(), leakage_ua: z.number() })),
  breakdown_at_s: number,
  breakdown_kv: number,
});
export type TraceRow = z.infer<typeof TraceRow>;

const estimate = { value: z.number(), sd: z.number() };

/** What the samples say beyond the row for machines. */
export const TraceSummary = z.object({
  row: TraceRow,
  outcomeBecause: z.string(),
  /** Minutes into the dwell at which readings are compared, and the leakage there. */
  standard: known({ atMin: z.number(), ua: z.number(), sdUa: z.number(), extrapolated: z.boolean() }),
  absorptionN: known(estimate),
  steadyUa: known(estimate),
  capacitanceNf: known(estimate),
  polarizationIndex: known({ value: z.number() }),
  tipUp: known({ resistanceFallShare: z.number(), voltageRatio: z.number(), suspect: z.boolean() }),
  /** The current rose while the voltage stood still. */
  rising: z.boolean(),
  storedEnergyJ: known({ value: z.number() }),
  /** Minutes to keep the cable earthed after this test, by the usual rule. */
  earthMin: known({ value: z.number() }),
});
export type TraceSummary = z.infer<typeof TraceSummary>;

export const LayoutGuess = z.object({
  fingerprint: z.string(),
  delimiter: z.string().nullable(),
  decimal: z.enum(['.', ',']),
  sheet: z.string().nullable(),
  columns: z.array(
    z.object({
      name: z.string(),
      role: SampleRole,
      unit: z.string().nullable(),
      unitGuessed: z.boolean(),
    }),
  ),
  confidence: z.number(),
  doubts: z.array(z.string()),
  /** A person corrected it before, for files with this header. */
  remembered: z.boolean(),
});
export type LayoutGuess = z.infer<typeof LayoutGuess>;

export const SegmentCandidate = z.object({
  segmentId: SegmentId,
  ownerId: z.string(),
  name: z.string(),
  feeder: z.string(),
  phases: z.string(),
  /** 0 to 1. */
  score: z.number(),
  because: z.array(z.string()),
  computedNf: known({ value: z.number(), lo: z.number(), hi: z.number() }),
  /** Measured over computed capacitance, less one; null where either is unknown. */
  capacitanceApart: z.number().nullable(),
});
export type SegmentCandidate = z.infer<typeof SegmentCandidate>;

/** A tester's file before it is taken in. */
export const PreviewedFile = z.object({
  /** SHA-256 of its bytes: what accepting and returning name it by. */
  key: z.string(),
  name: z.string(),
  /** `known`: the fleet has these bytes as a test; `twice`: another file of the batch has the same bytes. */
  verdict: z.enum(['new', 'known', 'twice', 'refused']),
  /** Why it is refused, or which test or file it is the same as. */
  because: z.string().nullable(),
  /** Why it was set aside before. */
  aside: z.string().nullable(),
  layout: LayoutGuess.nullable(),
  /** Header and first rows. */
  rows: z.array(z.array(z.string())),
  named: z.array(z.object({ name: z.string(), value: z.string() })),
  reading: TraceSummary.nullable(),
  candidates: z.array(SegmentCandidate),
  /** It names the first candidate by its id or its whole name, and no other. */
  namesSegment: z.boolean(),
  phase: Phase.nullable(),
  phaseBecause: z.string().nullable(),
  testedOn: z.string().nullable(),
  method: TestMethod,
  insulationTempC: z.number().nullable(),
  instrument: z.object({ id: InstrumentId, name: z.string() }).nullable(),
  crew: z.string().nullable(),
  /** The test in force that has a reading of this phase and day already, and all its phases. */
  earlier: z.object({ testId: TestEventId, testOwnerId: z.string(), phases: z.string() }).nullable(),
  /** Segment, phase and day are clear: it can be accepted on a word. */
  matched: z.boolean(),
  warnings: z.array(z.string()),
});
export type PreviewedFile = z.infer<typeof PreviewedFile>;

/** A file that a person confirmed: whose it is. */
export const AcceptedFile = z.strictObject({
  key: z.string().regex(/^[0-9a-f]{64}$/),
  segmentId: SegmentId,
  phase: Phase,
  testedOn: Day,
  method: TestMethod,
  purpose: TestPurpose.nullable().default(null),
  insulationTempC: z.number().min(-60).max(150).nullable(),
  instrumentId: InstrumentId.nullable(),
  crew: z.string().trim().max(200).nullable(),
  /** The test in force that it corrects, together with the files of its other phases; null for a test of its own. */
  supersedes: TestEventId.nullable().default(null),
});

/** Samples of one phase as the viewer draws them: thinned to its outline. */
export const ShownTrace = z.object({
  testId: TestEventId,
  testOwnerId: z.string(),
  testedOn: z.string(),
  phase: Phase,
  file: z.string(),
  sampleCount: z.number().int(),
  /** Seconds from the moment the highest voltage was reached; before it negative. */
  timeS: z.array(z.number()),
  voltageKv: z.array(z.number().nullable()),
  currentUa: z.array(z.number().nullable()),
  resistanceMohm: z.array(z.number().nullable()),
  /** Phases of the test in order of time. */
  parts: z.array(z.object({ name: z.string(), fromS: z.number(), toS: z.number() })),
  breakdownAtS: z.number().nullable(),
  reading: TraceSummary,
});
export type ShownTrace = z.infer<typeof ShownTrace>;

export const TableSubject = z.enum(['segments', 'splices', 'failures', 'tests']);
export const DateOrder = z.enum(['day first', 'month first']);

/** What a column of an owner's table is taken for. */
export const TableColumn = z.strictObject({
  field: z.string().max(60).nullable(),
  unit: z.string().max(20).nullable(),
  phase: Phase.nullable(),
  atMin: z.number().min(0).nullable(),
});

/** An owner's own table before it is taken in. */
export const PreviewedTable = z.object({
  /** SHA-256 of the file, and the sheet. */
  key: z.string(),
  name: z.string(),
  subject: TableSubject,
  decimal: z.enum(['.', ',']),
  dateOrder: DateOrder,
  columns: z.array(TableColumn.extend({ name: z.string() })),
  fixed: z.record(z.string(), z.string()),
  /** What must be said before it can be taken in. */
  open: z.array(z.string()),
  doubts: z.array(z.string()),
  remembered: z.boolean(),
  rowCount: z.number().int(),
  /** The first rows. */
  rows: z.array(z.array(z.string())),
  /** What the rows become: the first of them, as files of a fleet folder. */
  becomes: z.array(
    z.object({
      file: z.string(),
      header: z.array(z.string()),
      rows: z.array(z.array(z.string())),
      count: z.number().int(),
    }),
  ),
});
export type PreviewedTable = z.infer<typeof PreviewedTable>;

/** A field that a column may be taken for. */
export const TableField = z.object({
  subject: TableSubject,
  field: z.string(),
  says: z.string(),
  units: z.array(z.string()),
  values: z.array(z.string()),
});
export type TableField = z.infer<typeof TableField>;
