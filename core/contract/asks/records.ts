import { z } from 'zod';
import { ask } from '../ask.ts';
import { TraceRow } from '../shapes/records.ts';

const inPath = z.string().min(1).meta({ path: 'in' });

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
} as const;
