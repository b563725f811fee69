import { z } from 'zod';
import { ask } from '../ask.ts';
import { Day, FeederId, SegmentId, SubstationId } from '../ids.ts';
import { inPath, outPath } from '../shapes/given.ts';
import { YearStrip } from '../shapes/strip.ts';
import { TreeFilter } from '../shapes/tree-filter.ts';

export const Counts = z.object({
  substations: z.number().int(),
  feeders: z.number().int(),
  segments: z.number().int(),
  splices: z.number().int(),
  terminations: z.number().int(),
  interventions: z.number().int(),
  failures: z.number().int(),
  instruments: z.number().int(),
  calibrations: z.number().int(),
  testEvents: z.number().int(),
  readings: z.number().int(),
});

export const TreeNode = z.object({
  kind: z.enum(['substation', 'feeder', 'segment']),
  id: z.string(),
  name: z.string(),
  /** Segments below that pass the filter (1 for a segment), and their length. */
  segments: z.number().int(),
  lengthKm: z.number(),
  /** Segments below, whether they pass or not. */
  of: z.number().int(),
  /** Feeders or segments shown when it opens. */
  children: z.number().int(),
  tests: z.number().int(),
  /** Highest growth below, null where nothing is ranked or the ranking is not made yet. */
  worstGrowthPctPerYr: z.number().nullable(),
  retired: z.boolean(),
  strip: YearStrip.nullable(),
});
export type TreeNode = z.infer<typeof TreeNode>;

/** A row that could not be taken, and what would be right. */
export const RefusedRow = z.object({
  file: z.string(),
  line: z.number().int(),
  column: z.string(),
  value: z.string(),
  message: z.string(),
});
export type RefusedRow = z.infer<typeof RefusedRow>;

/** A branch of the tree. */
const under = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('substation'), id: SubstationId }),
  z.strictObject({ kind: z.literal('feeder'), id: FeederId }),
]);

export const fleetAsks = {
  'fleet.info': ask({
    kind: 'read',
    help: 'What the open fleet holds.',
    input: z.strictObject({}),
    output: z.object({
      file: z.string(),
      utilityName: z.string(),
      readOnly: z.boolean(),
      revision: z.number().int(),
      ledgerHead: z.string().nullable(),
      today: z.string(),
      counts: Counts,
      /** Those not retired; the length is theirs. */
      segmentsInService: z.number().int(),
      lengthKm: z.number(),
      firstTestOn: z.string().nullable(),
      lastTestOn: z.string().nullable(),
      /** What is shown of the ranking is from before the last changes; `ranking.make` makes it anew. */
      rankingBehind: z.boolean(),
      /** What is due is counted and kept, so that to ask for it costs little. */
      isDueCounted: z.boolean(),
    }),
  }),
  'fleet.tree': ask({
    kind: 'read',
    help: 'The children of a place in the tree: substations at the top, then feeders, then segments.',
    input: z.strictObject({
      under: under.nullable(),
      order: z.enum(['name', 'growth']).default('name'),
      filter: TreeFilter.default({}),
    }),
    output: z.object({
      nodes: z.array(TreeNode),
      ranked: z.boolean(),
      /** Segments of the whole fleet that pass, their length, and of how many. */
      passing: z.number().int(),
      lengthKm: z.number(),
      of: z.number().int(),
    }),
  }),
  'fleet.passing': ask({
    kind: 'read',
    help: 'The segments below a place of the tree, or of the whole fleet, that pass a filter.',
    input: z.strictObject({
      under: under.nullable(),
      filter: TreeFilter.default({}),
      count: z.number().int().min(1).max(5000).default(2000),
    }),
    output: z.object({ segments: z.array(z.object({ id: SegmentId, name: z.string() })), total: z.number().int() }),
  }),
  'fleet.find': ask({
    kind: 'read',
    help: 'Segments, feeders and splices whose name or id contains the typed text, best match first.',
    input: z.strictObject({ text: z.string().max(200), count: z.number().int().min(1).max(100).default(12) }),
    output: z.object({
      hits: z.array(
        z.object({
          kind: z.enum(['segment', 'feeder', 'splice']),
          /** The segment to open; for a feeder its own id. */
          id: z.string(),
          substationId: SubstationId,
          feederId: FeederId,
          name: z.string(),
          ownerId: z.string(),
          where: z.string(),
        }),
      ),
    }),
  }),
  'fleet.path': ask({
    kind: 'read',
    help: 'The feeder and substation above a segment.',
    input: z.strictObject({ segmentId: SegmentId }),
    output: z.object({ segmentId: SegmentId, feederId: FeederId, substationId: SubstationId }),
  }),
  'fleet.import': ask({
    kind: 'write',
    help: 'Takes in a fleet folder, CSV, XLSX or trace files; all or nothing; the same file twice changes nothing.',
    command: { word: 'import', positional: ['paths'], opens: 'new' },
    input: z.strictObject({
      paths: z.array(inPath).min(1).describe('fleet folders or files'),
      dryRun: z.boolean().default(false).describe('say what would change, change nothing'),
      utilityName: z.string().optional().describe('name of the utility, for a new fleet'),
      testers: z
        .enum(['named', 'leave'])
        .default('named')
        .describe(
          'testers’ files: take those in that name their segment and phase and keep the others aside, or leave all',
        ),
      refused: outPath.optional().describe('where to write all refused rows as CSV; beside the fleet where not given'),
      preview: z
        .string()
        .optional()
        .describe(
          'mark of the preview that was looked at, as --dry-run --json gives it; refused if anything moved on since',
        ),
    }),
    output: z.object({
      files: z.array(
        z.object({
          file: z.string(),
          rows: z.number().int(),
          added: z.number().int(),
          changed: z.number().int(),
          same: z.number().int(),
          refused: z.number().int(),
        }),
      ),
      changes: z.number().int(),
      committed: z.boolean(),
      refusedRows: z.array(RefusedRow),
      refusedCount: z.number().int(),
      words: z.array(z.string()),
      seconds: z.number(),
      /** Mark of these files and this revision of the fleet: hand it to the import that follows a dry run. */
      preview: z.string(),
      revision: z.number().int(),
    }),
  }),
  'fleet.export': ask({
    kind: 'study',
    help: 'Writes the fleet as a fleet folder: plain CSV with a data package description.',
    command: { word: 'export', opens: 'fleet' },
    input: z.strictObject({ out: outPath.describe('folder to write') }),
    output: z.object({
      folder: z.string(),
      files: z.array(z.object({ file: z.string(), rows: z.number().int() })),
      /** What the folder does not carry, in a sentence. */
      leftOut: z.string(),
    }),
  }),
  'fleet.backup': ask({
    kind: 'study',
    help: 'Writes a consistent copy of the fleet while it is in use.',
    command: { word: 'backup', opens: 'fleet' },
    input: z.strictObject({ out: outPath.describe('file to write') }),
    output: z.object({ file: z.string(), bytes: z.number() }),
  }),
  'demo.write': ask({
    kind: 'write',
    help: 'Writes the invented utility, Harrow Vale Municipal Power, into a new fleet.',
    command: { word: 'demo', opens: 'new' },
    input: z.strictObject({
      segments: z.number().int().min(20).max(1_000_000).default(600).describe('how many segments, about'),
      seed: z.number().int().min(0).default(1).describe('a number; another one makes another utility of the same kind'),
      lastTestYear: z.number().int().min(2000).max(2100).default(2025).describe('the last year with tests'),
    }),
    output: z.object({ counts: Counts, seconds: z.number() }),
  }),
} as const;
export { Day };
