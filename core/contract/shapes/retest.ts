import { z } from 'zod';
import { Day, InstrumentId, SegmentId, TestEventId } from '../ids.ts';
import { reason } from './given.ts';
import { Interval90, known } from './known.ts';
import { YearStrip } from './strip.ts';
import { Insulation, Outcome, Phase, TestMethod, TestPurpose } from './trade.ts';

export const dueStates = ['overdue', 'within 30 days', 'within 90 days', 'within 365 days', 'later'] as const;
export const DueState = z.enum(dueStates);
export type DueState = z.infer<typeof DueState>;

/** The next test of one segment by the owner's rule. */
export const DueRow = z.object({
  segmentId: SegmentId,
  segmentOwnerId: z.string(),
  segment: z.string(),
  feeder: z.string(),
  substation: z.string(),
  /** The crew's area: the region of the substation. */
  area: z.string().nullable(),
  dueOn: z.string(),
  /** Negative once it is overdue. */
  daysLeft: z.number().int(),
  state: DueState,
  /** Still inside the rule's days of grace. */
  inGrace: z.boolean(),
  /** Rule and version that gave the day, and what it was counted from. */
  rule: z.string(),
  /** Which line of the rule made the day, and what the last test found that it asks for. */
  because: z.string(),
  since: z.string(),
  lastTestedOn: z.string().nullable(),
  /** 'withstood', 'breakdown of phase B at 20 kV'. */
  lastResult: z.string(),
  criticalLoad: z.boolean().nullable(),
  insulation: Insulation,
  ratedKv: z.number().nullable(),
  /** No direct voltage is advised on this insulation at its age. */
  noDc: z.boolean(),
  excuse: z.string().nullable(),
  /** Among the tests that the newest kept plan would have first; null where that was not asked. */
  first: z.boolean().nullable(),
});
export type DueRow = z.infer<typeof DueRow>;

export const DueCounts = z.object({
  overdue: z.number().int(),
  within30: z.number().int(),
  within90: z.number().int(),
  within365: z.number().int(),
});
export type DueCounts = z.infer<typeof DueCounts>;

/** How the lead means to test. What is left out is taken from the segment's own history, the tables and the season. */
export const Conditions = z.strictObject({
  on: Day.optional(),
  voltageKv: z.number().min(0.1).max(1000).optional(),
  dwellMin: z.number().min(0.1).max(10_000).optional(),
  tempC: z.number().min(-30).max(110).optional(),
});

/** A value with where it comes from, to stand beside it. */
const Chosen = z.object({ value: z.number(), from: z.string() });

const Sourced = z.object({ says: z.string(), source: z.string() });
const Printed = z.object({ table: z.string(), voltageKv: z.number(), source: z.string() });
export const Alternative = z.object({
  name: z.string(),
  standard: z.string(),
  peakKv: z.number().nullable(),
  says: z.string(),
  source: z.string(),
});

/** What the tables allow: a voltage under its table's name, or none and why. */
export const VoltageSaid = z.discriminatedUnion('advised', [
  z.object({
    advised: z.literal(true),
    voltageKv: z.number(),
    table: z.string(),
    source: z.string(),
    duration: known({ minutes: z.number(), source: z.string() }),
    otherTables: z.array(Printed),
  }),
  z.object({ advised: z.literal(false), because: z.string() }),
]);

/** What one phase is expected to read, µA. */
export const Expectation = z.object({
  phase: Phase,
  reading: known({
    ua: Interval90,
    /** Above this one reading in a hundred would lie. */
    farUa: z.number(),
    /** The reading of one phase that stands for the limit at these conditions; null where no limit is set. */
    limitUa: z.number().nullable(),
  }),
});
export type Expectation = z.infer<typeof Expectation>;

export const BriefTest = z.object({
  id: TestEventId,
  ownerId: z.string(),
  testedOn: z.string(),
  method: TestMethod,
  purpose: TestPurpose.nullable(),
  voltageKv: z.string(),
  dwellMin: z.string(),
  tempC: z.number().nullable(),
  /** By phase as the crew wrote it, '<0.1' under the floor; null where not read. */
  a: z.string().nullable(),
  b: z.string().nullable(),
  c: z.string().nullable(),
  nsPerKmAt20C: z.number().nullable(),
  instrument: z.string().nullable(),
  calibration: z.string(),
  crew: z.string().nullable(),
  says: z.string(),
});
export type BriefTest = z.infer<typeof BriefTest>;

export const BriefSplice = z.object({
  ownerId: z.string(),
  phase: z.string().nullable(),
  positionM: z.number().nullable(),
  kind: z.string().nullable(),
  installedOn: z.string().nullable(),
  removed: z.boolean(),
});

/** The retest brief of one segment: what was measured, what is allowed, what to expect, when to stop. */
export const Brief = z.object({
  segmentId: SegmentId,
  ownerId: z.string(),
  name: z.string(),
  substation: z.string(),
  area: z.string().nullable(),
  feeder: z.string(),
  fromPoint: z.string().nullable(),
  toPoint: z.string().nullable(),
  lengthM: z.number(),
  ratedKv: z.number().nullable(),
  insulationLevelPct: z.number().nullable(),
  insulation: Insulation,
  conductor: z.string(),
  phases: z.string(),
  installation: z.string().nullable(),
  energisedOn: z.string().nullable(),
  ageYears: z.number().nullable(),
  customers: z.number().nullable(),
  criticalLoad: z.boolean().nullable(),
  retiredOn: z.string().nullable(),
  utility: z.string(),
  revision: z.number().int(),
  /** Day of the planned test, and the day up to which readings are known. */
  on: z.string(),
  asOf: z.string(),
  purpose: TestPurpose,
  sentence: z.string(),
  due: known({ dueOn: z.string(), state: DueState, rule: z.string(), because: z.string() }),
  voltage: VoltageSaid,
  alternatives: z.array(Alternative),
  /** What the expected reading stands for. */
  planned: z.object({
    voltageKv: known({ value: z.number(), from: z.string() }),
    dwellMin: Chosen,
    tempC: Chosen,
    /** 0 where the temperature was typed. */
    tempSdC: z.number(),
  }),
  lastVoltageKv: z.number().nullable(),
  ramp: Sourced,
  expected: z.array(Expectation),
  /** What the interval holds, and what it does not. */
  expectedSays: z.string(),
  /** Which phases are expected, or may be, beyond the limit of one phase, or further apart than the stop rule allows. */
  foreseen: z.array(z.string()),
  standing: known({
    rank: z.number().int(),
    rankedSegments: z.number().int(),
    growthPctPerYr: Interval90,
    levelNsPerKm: Interval90,
    limitNsPerKm: z.number().nullable(),
  }),
  stop: z.array(Sourced),
  energy: known({
    capacitanceNf: z.number(),
    lowNf: z.number(),
    highNf: z.number(),
    voltageKv: z.number(),
    energyJ: z.number(),
  }),
  /** After the dwell with its ramp: at least so long. */
  earthing: z.object({ minutes: z.number(), says: z.string(), source: z.string() }),
  discharge: z.array(Sourced),
  checklist: z.array(z.object({ item: z.string(), says: z.string(), source: z.string() })),
  cautions: z.array(Sourced),
  footer: z.string(),
  strip: YearStrip,
  tests: z.array(BriefTest),
  splices: z.array(BriefSplice),
  terminations: z.array(
    z.object({ end: z.enum(['from', 'to']), phase: z.string().nullable(), kind: z.string().nullable() }),
  ),
  interventions: z.array(z.object({ doneOn: z.string(), kind: z.string(), note: z.string().nullable() })),
  failures: z.array(
    z.object({
      failedOn: z.string(),
      phase: z.string().nullable(),
      part: z.string().nullable(),
      cause: z.string().nullable(),
    }),
  ),
});
export type Brief = z.infer<typeof Brief>;

export const verdicts = ['below expected', 'as expected', 'above expected', 'far above'] as const;
export const ReadingVerdict = z.enum(verdicts);

export const JudgedPhase = z.object({
  phase: Phase,
  leakageUa: z.number(),
  verdict: known({
    says: ReadingVerdict,
    expectedUa: Interval90,
    farUa: z.number(),
    /** Share of such readings that would lie under this one, %. */
    placePct: z.number(),
    /** At 20 °C, the usual voltage and dwell. */
    nsPerKmAt20C: z.number(),
  }),
});

/** A reading as it is typed in. */
export const TypedReading = z.strictObject({
  phase: Phase,
  step: z.number().int().min(0).max(100).default(0),
  voltageKv: z.number().min(0.1).max(1000),
  dwellMin: z.number().min(0.1).max(10_000).nullable(),
  leakage: z.number().min(1e-6).max(1e9),
  leakageUnit: z.enum(['nA', 'uA', 'mA']),
  /** `leakage` is the instrument's floor; the true reading is somewhere under it. */
  belowFloor: z.boolean().default(false),
  outcome: Outcome,
  note: z.string().trim().max(2000).nullable().default(null),
});

export const TypedTest = z.strictObject({
  segmentId: SegmentId,
  testedOn: Day,
  method: TestMethod.default('dc_withstand'),
  purpose: TestPurpose.default('maintenance'),
  insulationTempC: z.number().min(-30).max(110).nullable(),
  ambientTempC: z.number().min(-50).max(60).nullable().default(null),
  humidityPct: z.number().min(0).max(100).nullable().default(null),
  instrumentId: InstrumentId.nullable(),
  crew: z.string().trim().max(200).nullable(),
  readings: z.array(TypedReading).min(1).max(60),
  /** The test that this one corrects, and why: it goes out of force, and both stay. */
  supersedes: z.strictObject({ testId: TestEventId, reason }).nullable().default(null),
});
