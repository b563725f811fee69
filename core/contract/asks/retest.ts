import { z } from 'zod';
import { ask } from '../ask.ts';
import { Day, InstrumentId, SegmentId, TestEventId } from '../ids.ts';
import { PolicyVersion } from '../shapes/evidence.ts';
import { outPath, paper } from '../shapes/given.ts';
import { Interval90, known } from '../shapes/known.ts';
import { Brief, Conditions, DueCounts, DueRow, DueState, JudgedPhase, TypedTest } from '../shapes/retest.ts';
import { Phase } from '../shapes/trade.ts';

const note = z.string().trim().max(2000).nullable().default(null);

const dueWhere = {
  area: z.string().max(200).optional().describe('only this crew area (region of the substation)'),
  substation: z.string().max(200).optional().describe('only this substation, by name'),
  feeder: z.string().max(200).optional().describe('only this feeder, by name'),
};
const dueState = DueState.optional().describe('only those overdue, or due within so many days');
const dueSaid = {
  sentence: z.string(),
  caution: z.string(),
  on: z.string(),
  total: DueCounts,
  rules: z.array(PolicyVersion),
  /** Segments for which no due day can be told. */
  unknown: z.number().int(),
  rowsTotal: z.number().int(),
  rows: z.array(DueRow),
};

export const retestAsks = {
  'retest.due': ask({
    kind: 'study',
    help: 'Tests due and overdue by the rule in force, by crew area, substation and feeder.',
    command: {
      word: 'due',
      opens: 'fleet',
      prints: {
        allBy: 'csv',
        hides: ['rules.rule', 'rules.version', 'inGrace'],
        names: {
          on: 'seen from',
          unknown: 'segments whose due day cannot be told',
          rows: 'tests',
          rowsTotal: 'tests in the list',
          plan: 'tests that the plan would have first',
          segmentOwnerId: 'id',
          criticalLoad: 'critical load',
          noDc: 'no direct voltage advised',
          first: 'first by the plan',
          since: 'counted from',
          set: 'set by the owner',
        },
      },
    },
    input: z.strictObject({
      on: Day.optional().describe('day to look from; today by default'),
      ...dueWhere,
      state: dueState,
      first: z
        .boolean()
        .default(false)
        .describe('marks the tests that the newest kept plan would have first (the plan is solved for it)'),
      skip: z.number().int().min(0).default(0).describe('how many rows to pass over first'),
      count: z.number().int().min(0).max(1000).default(200).describe('rows listed at most; --csv and --ics have all'),
      csv: outPath.optional().describe('where to write the list as CSV, every row of it'),
      ics: outPath.optional().describe('where to write those of the coming year as a calendar (RFC 5545)'),
    }),
    output: z.object({
      ...dueSaid,
      /** With the first rows only: there may be thousands. */
      groups: z.array(DueCounts.extend({ area: z.string().nullable(), substation: z.string(), feeder: z.string() })),
      /** The plan whose first tests are marked; null where none was asked for or kept. */
      plan: known({ name: z.string(), madeAt: z.string(), tests: z.number().int() }),
      written: z.array(z.string()),
    }),
  }),
  'retest.page': ask({
    kind: 'read',
    help: 'Rows of the due list of today, at once.',
    input: z.strictObject({
      ...dueWhere,
      state: dueState,
      skip: z.number().int().min(0).default(0),
      count: z.number().int().min(0).max(1000).default(100),
    }),
    output: z.object(dueSaid),
  }),
  'retest.places': ask({
    kind: 'read',
    help: 'Areas, substations and feeders in which tests are due within a year.',
    input: z.strictObject(dueWhere),
    output: z.object({
      areas: z.array(z.string()),
      substations: z.array(z.string()),
      feeders: z.array(z.string()),
    }),
  }),
  'retest.make': ask({
    kind: 'study',
    help: 'Counts from the records when every test was and will be due, and keeps it with the fleet.',
    input: z.strictObject({}),
    output: z.object({ due: z.number().int() }),
  }),
  'retest.brief': ask({
    kind: 'read',
    help: 'The retest brief of one segment.',
    input: Conditions.extend({ segment: z.string().trim().min(1).max(200) }),
    output: Brief,
  }),
  'retest.sheet': ask({
    kind: 'read',
    help: 'The retest brief of one segment as a printed sheet.',
    input: Conditions.extend({
      segment: z.string().trim().min(1).max(200),
      paper,
      units: z.enum(['metric', 'us']).default('metric'),
      pdf: outPath,
    }),
    output: z.object({ written: z.array(z.string()) }),
  }),
  'retest.round': ask({
    kind: 'study',
    help: 'The retest brief of one segment or of a day’s round: what to apply, what to expect, when to stop. A page each.',
    command: { word: 'brief', positional: ['segments'], opens: 'fleet' },
    input: z.strictObject({
      segments: z
        .array(z.string().trim().min(1).max(200))
        .min(1)
        .max(200)
        .describe('owner’s id, name, or the beginning of one that no other has'),
      temp: Conditions.shape.tempC.describe('insulation temperature of the day, °C; the season’s by default'),
      voltage: Conditions.shape.voltageKv.describe('test voltage, kV DC; the last one used or the table’s by default'),
      dwell: Conditions.shape.dwellMin.describe('minutes at that voltage'),
      on: Day.optional().describe('day of the test; today by default'),
      paper: paper.describe('of the sheets'),
      units: z.enum(['metric', 'us']).default('metric').describe('lengths and temperatures on the sheets'),
      pdf: outPath.optional().describe('where to write the sheets'),
    }),
    output: z.object({ words: z.array(z.string()), briefs: z.array(Brief), written: z.array(z.string()) }),
  }),
  'retest.judge': ask({
    kind: 'read',
    help: 'Is a reading as expected, and what would the ranking become?',
    input: Conditions.extend({
      segmentId: SegmentId,
      voltageKv: z.number().min(0.1).max(1000),
      dwellMin: z.number().min(0.1).max(10_000),
      readings: z
        .array(z.strictObject({ phase: Phase, leakageUa: z.number().min(1e-6).max(1e9) }))
        .min(1)
        .max(3),
    }),
    output: z.object({
      sentence: z.string(),
      phases: z.array(JudgedPhase),
      /** Largest over smallest of the phases; null under two. */
      phaseRatio: z.number().nullable(),
      stop: z.array(z.string()),
      before: known({ rank: z.number().int(), growthPctPerYr: Interval90, levelNsPerKm: Interval90 }),
      after: known({ rank: z.number().int(), growthPctPerYr: Interval90, levelNsPerKm: Interval90 }),
      basis: z.string(),
    }),
  }),
  'retest.instruments': ask({
    kind: 'read',
    help: 'Instruments and crews for the record of a test, with the calibration on a day.',
    input: z.strictObject({ on: Day.optional() }),
    output: z.object({
      instruments: z.array(
        z.object({
          id: InstrumentId,
          name: z.string(),
          description: z.string().nullable(),
          calibration: z.string(),
          inCalibration: z.boolean(),
        }),
      ),
      crews: z.array(z.string()),
    }),
  }),
  'retest.record': ask({
    kind: 'write',
    help: 'Records a test by hand: its readings, conditions, instrument and crew; a correction supersedes a test, and both stay.',
    input: TypedTest,
    output: z.object({
      id: TestEventId,
      ownerId: z.string(),
      revision: z.number().int(),
      readings: z.number().int(),
      /** A phase broke down: the failure is still to be recorded. */
      brokeDown: z.array(Phase),
      remarks: z.array(z.string()),
    }),
  }),
  'retest.recordFailure': ask({
    kind: 'write',
    help: 'Records a failure of a segment.',
    input: z.strictObject({
      segmentId: SegmentId,
      failedOn: Day,
      phase: Phase.nullable(),
      part: z.enum(['cable', 'splice', 'termination']).nullable(),
      cause: z.string().trim().max(500).nullable().default(null),
      customersInterrupted: z.number().int().min(0).nullable().default(null),
      durationMin: z.number().min(0).nullable().default(null),
    }),
    output: z.object({ ownerId: z.string(), revision: z.number().int() }),
  }),
  'retest.recordIntervention': ask({
    kind: 'write',
    help: 'Records what was done to a segment; a new era of its readings begins.',
    input: z.strictObject({
      segmentId: SegmentId,
      doneOn: Day,
      kind: z.enum(['section_replaced', 'splice_added', 'splice_renewed', 'fluid_injected', 'termination_remade']),
      note,
      /** The new splice, where one was put in. */
      splice: z
        .strictObject({
          positionM: z.number().min(0).nullable(),
          phase: Phase.nullable(),
          kind: z.enum(['taped', 'heat_shrink', 'cold_shrink', 'premoulded', 'transition']).nullable(),
        })
        .nullable()
        .default(null),
    }),
    output: z.object({ ownerId: z.string(), revision: z.number().int() }),
  }),
} as const;
