import { z } from 'zod';
import { ask } from '../ask.ts';
import { Figure } from '../figure.ts';
import { Day, FeederId, InstrumentId, SegmentId, SubstationId, TestEventId } from '../ids.ts';
import { Standing } from '../shapes/standing.ts';
import { YearStrip } from '../shapes/strip.ts';
import { Insulation, Outcome, Phase, TestMethod, TestPurpose } from '../shapes/trade.ts';

const NamedSegment = z.object({ id: SegmentId, name: z.string() });

export const ReadingRow = z.object({
  phase: Phase,
  step: z.number().int(),
  voltageKv: z.number(),
  dwellMin: z.number().nullable(),
  leakageUa: z.number(),
  belowFloor: z.boolean(),
  insulationTempC: z.number().nullable(),
  ambientTempC: z.number().nullable(),
  humidityPct: z.number().nullable(),
  outcome: Outcome.nullable(),
  note: z.string().nullable(),
  /** Specific leakage at 20 °C as the model used it; null where it was not used. */
  nsPerKmAt20C: z.number().nullable(),
  /** 'used', 'below floor', 'repaired ×0.001', 'duplicate', 'left out' …; the reason where it is not simply used. */
  use: z.string(),
  useBecause: z.string().nullable(),
});

export const TestRow = z.object({
  id: TestEventId,
  ownerId: z.string(),
  testedOn: z.string(),
  method: TestMethod,
  purpose: TestPurpose.nullable(),
  instrument: z.object({ id: InstrumentId, name: z.string() }).nullable(),
  /** Was the instrument in calibration that day? */
  calibration: z.enum(['in calibration', 'out of calibration', 'unknown']),
  crew: z.string().nullable(),
  readings: z.array(ReadingRow),
  /** The event's specific leakage at 20 °C (mean over its phases as the model used them), nS/km. */
  nsPerKmAt20C: z.number().nullable(),
  /** How far the event lies from what the rest of the segment says, in standard deviations. */
  surpriseSd: z.number().nullable(),
  says: z.string(),
  hasTrace: z.boolean(),
});
export type TestRow = z.infer<typeof TestRow>;

/** A test that a correction took the place of: it stays on record and counts for nothing. */
export const ReplacedTest = z.object({
  id: TestEventId,
  ownerId: z.string(),
  testedOn: z.string(),
  /** The test that stands for it now, at the end of all corrections. */
  byId: TestEventId,
  /** When its place was taken, by whom and why. */
  at: z.string(),
  who: z.string(),
  why: z.string().nullable(),
  readings: z.array(
    ReadingRow.pick({
      phase: true,
      step: true,
      voltageKv: true,
      dwellMin: true,
      leakageUa: true,
      belowFloor: true,
      insulationTempC: true,
      ambientTempC: true,
    }),
  ),
});
export type ReplacedTest = z.infer<typeof ReplacedTest>;

/** A verdict on a finding about the segment, and what it does to its numbers. */
export const VerdictRow = z.object({
  kind: z.string(),
  verdict: z.enum(['accepted', 'dismissed']),
  reason: z.string(),
  who: z.string(),
  on: z.string(),
  testOwnerId: z.string().nullable(),
  testedOn: z.string().nullable(),
  phase: z.string().nullable(),
  does: z.discriminatedUnion('do', [
    z.object({ do: z.literal('multiply'), factor: z.number() }),
    z.object({ do: z.literal('leave out') }),
    z.object({ do: z.literal('count once') }),
    z.object({
      do: z.literal('temperature'),
      of: z.enum(['insulation', 'ambient']),
      as: z.enum(['unknown', 'fahrenheit']),
    }),
    z.object({ do: z.literal('relabel') }),
    z.object({ do: z.literal('length'), lengthKm: z.number() }),
  ]),
});
export type VerdictRow = z.infer<typeof VerdictRow>;

export const SegmentPage = z.object({
  id: SegmentId,
  ownerId: z.string(),
  name: z.string(),
  substation: z.object({ id: SubstationId, name: z.string() }),
  feeder: z.object({ id: FeederId, name: z.string() }),
  fromPoint: z.string().nullable(),
  toPoint: z.string().nullable(),
  lengthM: z.number(),
  lengthTyped: z.string(),
  ratedKv: z.number().nullable(),
  insulationLevelPct: z.number().nullable(),
  insulation: Insulation,
  conductorMaterial: z.string().nullable(),
  conductorAreaMm2: z.number().nullable(),
  conductorDiameterMm: z.number().nullable(),
  insulationThicknessMm: z.number().nullable(),
  phases: z.string(),
  installation: z.string().nullable(),
  energisedOn: z.string().nullable(),
  ageYears: z.number().nullable(),
  retiredOn: z.string().nullable(),
  customers: z.number().nullable(),
  alternateSupply: z.boolean().nullable(),
  criticalLoad: z.boolean().nullable(),
  replaces: NamedSegment.nullable(),
  replacedBy: NamedSegment.nullable(),
  standing: Standing,
  strip: YearStrip,
  figure: Figure,
  tests: z.array(TestRow),
  replacedTests: z.array(ReplacedTest),
  /** Verdicts on findings about the segment, and on instruments that read it. */
  verdicts: z.array(VerdictRow),
  splices: z.array(
    z.object({
      ownerId: z.string(),
      phase: z.string().nullable(),
      positionM: z.number().nullable(),
      kind: z.string().nullable(),
      installedOn: z.string().nullable(),
      removedOn: z.string().nullable(),
    }),
  ),
  terminations: z.array(
    z.object({
      ownerId: z.string(),
      end: z.enum(['from', 'to']),
      phase: z.string().nullable(),
      kind: z.string().nullable(),
      installedOn: z.string().nullable(),
      removedOn: z.string().nullable(),
    }),
  ),
  interventions: z.array(
    z.object({ ownerId: z.string(), doneOn: z.string(), kind: z.string(), note: z.string().nullable() }),
  ),
  failures: z.array(
    z.object({
      ownerId: z.string(),
      failedOn: z.string(),
      phase: z.string().nullable(),
      part: z.string().nullable(),
      cause: z.string().nullable(),
      customersInterrupted: z.number().nullable(),
      durationMin: z.number().nullable(),
    }),
  ),
  /** Set where a direct-voltage test of this insulation at this age needs the caution of the IEEE 400 family. */
  directVoltageCaution: z.string().nullable(),
  /** On every forecast: no field test predicts when a cable will fail. */
  forecastCaution: z.string(),
});
export type SegmentPage = z.infer<typeof SegmentPage>;

/** What can be edited of a segment, named as in segments.csv. `length` is typed with its unit: '412 m', '1352 ft'. */
export const SegmentField = z.enum([
  'feeder_id',
  'name',
  'from_point',
  'to_point',
  'length',
  'rated_kv',
  'insulation_level_pct',
  'insulation',
  'conductor_material',
  'conductor_area_mm2',
  'conductor_diameter_mm',
  'insulation_thickness_mm',
  'phases',
  'installation',
  'energised_on',
  'retired_on',
  'replaces_segment_id',
  'customers',
  'alternate_supply',
  'critical_load',
]);
export type SegmentField = z.infer<typeof SegmentField>;

const typed = z.string().max(2000);
const why = z.string().trim().max(2000);

/** A segment to be added: its fields as typed, by their names; empty or left out where unknown. */
export const NewSegment = z.strictObject({
  ownerId: typed.describe("the owner's id, not yet taken"),
  values: z.partialRecord(SegmentField.exclude(['feeder_id', 'retired_on', 'replaces_segment_id']), typed),
});

/** What can be set to one value for many segments at once: what neighbours share, not what names or measures one. */
export const SharedField = SegmentField.extract([
  'rated_kv',
  'insulation_level_pct',
  'insulation',
  'conductor_material',
  'conductor_area_mm2',
  'conductor_diameter_mm',
  'insulation_thickness_mm',
  'installation',
  'energised_on',
  'customers',
  'alternate_supply',
  'critical_load',
]);
export type SharedField = z.infer<typeof SharedField>;

const someSegments = z.array(SegmentId).min(1).max(5000);

const Written = z.object({
  segmentId: SegmentId,
  /** The fleet's revision afterwards. */
  revision: z.number().int(),
  /** The ledger line that `segment.takeBack` takes back; null where nothing was to change. */
  line: z.number().int().nullable(),
  /** What the change leaves at odds with other records. */
  remarks: z.array(z.string()),
});

export const segmentAsks = {
  'segment.edit': ask({
    kind: 'write',
    help: 'Changes one field of a segment, checked as in an import; an empty value means unknown.',
    input: z.strictObject({ segmentId: SegmentId, field: SegmentField, value: typed, why: why.optional() }),
    output: Written,
  }),
  'segment.editAll': ask({
    kind: 'write',
    help: 'Sets one field of many segments to one value, all or none, as one line of the ledger.',
    input: z.strictObject({ segmentIds: someSegments, field: SharedField, value: typed, why: why.optional() }),
    output: z.object({
      revision: z.number().int(),
      /** The ledger line that `segment.takeBack` takes back; null where nothing was to change. */
      line: z.number().int().nullable(),
      /** How many held another value before. */
      changed: z.number().int(),
    }),
  }),
  'segment.add': ask({
    kind: 'write',
    help: 'Adds a segment under a feeder.',
    input: z.strictObject({ feederId: FeederId, ...NewSegment.shape, why: why.optional() }),
    output: Written,
  }),
  'segment.retire': ask({
    kind: 'write',
    help: 'Takes a segment out of service, with a reason; a new segment may take its place.',
    input: z.strictObject({
      segmentId: SegmentId,
      retiredOn: Day.describe('its last day in service'),
      reason: why.min(1),
      replacement: NewSegment.nullable().default(null),
    }),
    output: Written.extend({ replacementId: SegmentId.nullable() }),
  }),
  'segment.takeBack': ask({
    kind: 'write',
    help: 'Takes back an edit of one or many segments, an added or a retired one by a further ledger line; both stay.',
    input: z.strictObject({ line: z.number().int().positive() }),
    output: Written,
  }),
  'segment.table': ask({
    kind: 'study',
    help: 'Writes some segments as CSV: what each is, how it stands, whether its test is overdue.',
    input: z.strictObject({ segmentIds: someSegments, csv: z.string().min(1).meta({ path: 'out' }) }),
    output: z.object({ written: z.array(z.string()), rows: z.number().int() }),
  }),
  'segment.page': ask({
    kind: 'read',
    help: 'Everything known of one segment.',
    input: z.strictObject({ segmentId: SegmentId }),
    output: SegmentPage,
  }),
} as const;
