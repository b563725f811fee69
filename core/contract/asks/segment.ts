import { z } from 'zod';
import { ask } from '../ask.ts';
import { Figure } from '../figure.ts';
import { FeederId, InstrumentId, SegmentId, SubstationId, TestEventId } from '../ids.ts';
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

export const segmentAsks = {
  'segment.page': ask({
    kind: 'read',
    help: 'Everything known of one segment.',
    input: z.strictObject({ segmentId: SegmentId }),
    output: SegmentPage,
  }),
} as const;
