import { readSamples } from '../intake/samples/read-samples.ts';
import type { SampleFile } from '../intake/samples/shapes.ts';
import { readTrace } from '../trace/read-trace.ts';
import type { TracePlan, TraceReading, UnreadTrace } from '../trace/reading.ts';
import { refusedTraceRow, traceRow } from '../trace/row.ts';
import { givenFiles } from './records-files.ts';
import type { Task } from './task.ts';

export type ReadSampleFile = Extract<SampleFile, { ok: true }>;

/** What the crew meant to do, as the file's own words say it. */
export const planOf = ({ subject }: ReadSampleFile): TracePlan => ({
  dwellS: subject.plannedDwellS,
  voltageKv: subject.plannedKv,
  resultText: subject.resultText,
});

export const readingOf = (file: ReadSampleFile): TraceReading | UnreadTrace => readTrace(file.samples, planOf(file));

/** A line for each file; one that cannot be read says why and keeps no other from being read. */
export const readTraces: Task<'records.readTrace'> = async (desk, { files }) => {
  const rows = [];
  for (const given of givenFiles(files)) {
    desk.checkStop();
    desk.progress(rows.length, 0, `reading ${given.name}`);
    if ('because' in given) rows.push(refusedTraceRow(given.path, given.because));
    else {
      const read = await readSamples(given.bytes, given.name);
      rows.push(read.ok ? traceRow(given.path, readingOf(read)) : refusedTraceRow(given.path, read.because));
    }
  }
  return rows.map((row) => ({ ...row, steps: [...row.steps] }));
};
