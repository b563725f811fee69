import { z } from 'zod';
import { ask } from '../ask.ts';
import { SegmentId, SourceFileId, TestEventId } from '../ids.ts';
import { inPath, reason } from '../shapes/given.ts';
import {
  AcceptedFile,
  DateOrder,
  PreviewedFile,
  PreviewedTable,
  SampleRole,
  ShownTrace,
  TableColumn,
  TableField,
  TableSubject,
  TraceRow,
} from '../shapes/records.ts';

const key = z.string().regex(/^[0-9a-f]{64}$/);

/** Files to look at: on disk, and those set aside in the fleet. */
const given = {
  paths: z.array(inPath).max(10_000).default([]),
  aside: z.array(SourceFileId).max(10_000).default([]),
};

export const recordsAsks = {
  'records.readTrace': ask({
    kind: 'read',
    help: 'What the samples in testers’ files say, file by file, without a fleet.',
    command: { word: 'read-trace', positional: ['files'], opens: 'none', holds: 'ok' },
    input: z.strictObject({
      files: z.array(inPath).min(1).max(10_000).describe('testers’ files, ZIPs or folders of them'),
    }),
    output: z.array(TraceRow),
  }),
  'records.preview': ask({
    kind: 'study',
    help: 'Testers’ files before they are taken in: how each was read, what it says, and whose it may be.',
    input: z.strictObject(given),
    output: z.object({
      revision: z.number().int(),
      files: z.array(PreviewedFile),
      /** Some of the paths are a fleet folder or tables: those are for 'fleet.import'. */
      tables: z.boolean(),
    }),
  }),
  'records.relayout': ask({
    kind: 'write',
    help: 'Corrects how a tester’s file is read; files with the same header are read so from now on.',
    input: z.strictObject({
      ...given,
      key,
      decimal: z.enum(['.', ',']),
      columns: z
        .array(z.strictObject({ role: SampleRole, unit: z.string().max(20).nullable() }))
        .min(1)
        .max(200),
    }),
    output: z.object({ revision: z.number().int(), reads: z.boolean(), because: z.string().nullable() }),
  }),
  'records.tables': ask({
    kind: 'study',
    help: 'Owners’ own tables before they are taken in: what each column was taken for, and what the rows become.',
    input: z.strictObject({ paths: given.paths }),
    output: z.object({ tables: z.array(PreviewedTable), fields: z.array(TableField) }),
  }),
  'records.retable': ask({
    kind: 'write',
    help: 'Corrects how an owner’s table is read; tables with the same header are read so from now on.',
    input: z.strictObject({
      paths: given.paths,
      key: z.string().max(400),
      subject: TableSubject,
      decimal: z.enum(['.', ',']),
      dateOrder: DateOrder,
      columns: z.array(TableColumn).min(1).max(400),
      fixed: z.record(z.string().max(60), z.string().max(200)).default({}),
    }),
    output: z.object({ revision: z.number().int(), open: z.array(z.string()) }),
  }),
  'records.accept': ask({
    kind: 'write',
    help: 'Takes testers’ files in as tests of the segments and phases that a person confirmed.',
    input: z.strictObject({
      ...given,
      /** Of the preview that was looked at. */
      revision: z.number().int(),
      files: z.array(AcceptedFile).min(1).max(10_000),
      /** Why tests are corrected, where any is. */
      reason: reason.optional(),
    }),
    output: z.object({
      revision: z.number().int(),
      /** Files taken in, and files that the fleet had already. */
      accepted: z.number().int(),
      same: z.number().int(),
      tests: z.array(
        z.object({
          id: TestEventId,
          ownerId: z.string(),
          segmentId: SegmentId,
          segment: z.string(),
          testedOn: z.string(),
          phases: z.string(),
        }),
      ),
    }),
  }),
  'records.return': ask({
    kind: 'write',
    help: 'Sets testers’ files aside with a reason; their bytes are kept.',
    input: z.strictObject({
      ...given,
      files: z.array(z.strictObject({ key, reason })).min(1).max(10_000),
    }),
    output: z.object({ revision: z.number().int(), returned: z.number().int() }),
  }),
  'records.aside': ask({
    kind: 'read',
    help: 'Files that were set aside, with the reason.',
    input: z.strictObject({}),
    output: z.object({
      files: z.array(
        z.object({
          id: SourceFileId,
          name: z.string(),
          byteCount: z.number().int(),
          receivedAt: z.string(),
          why: z.string(),
        }),
      ),
    }),
  }),
  'records.trace': ask({
    kind: 'read',
    help: 'The samples behind one test or two, thinned for a drawing.',
    input: z.strictObject({
      testIds: z.array(TestEventId).min(1).max(4),
      /** About how many samples a trace. */
      samples: z.number().int().min(50).max(20_000).default(1200),
    }),
    output: z.object({ traces: z.array(ShownTrace) }),
  }),
} as const;
