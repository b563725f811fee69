import { readSamples } from '../intake/samples/read-samples.ts';
import type { SampleFile, SampleLayout } from '../intake/samples/shapes.ts';
import { layoutOf } from '../store/records-match.ts';
import type { Fleet } from '../store/sql.ts';
import { readTrace } from '../trace/read-trace.ts';
import type { TracePlan, TraceReading, UnreadTrace } from '../trace/reading.ts';
import { refusedTraceRow, traceRow } from '../trace/row.ts';
import { givenFiles } from './records-files.ts';
import type { GivenFile } from './records-given.ts';
import type { Task } from './task.ts';

export type ReadSampleFile = Extract<SampleFile, { ok: true }>;

/** What layouts of testers' files are kept as. */
export const samplesSubject = 'samples';

/** What the crew meant to do, as the file's own words say it. */
const planOf = ({ subject }: ReadSampleFile): TracePlan => ({
  dwellS: subject.plannedDwellS,
  voltageKv: subject.plannedKv,
  resultText: subject.resultText,
});

export const readingOf = (file: ReadSampleFile): TraceReading | UnreadTrace => readTrace(file.samples, planOf(file));

/** The layout that a person corrected for files with this header. */
export function keptLayout(fleet: Fleet, fingerprint: string): SampleLayout | undefined {
  const kept = layoutOf(fleet, fingerprint);
  return kept?.subject === samplesSubject ? (JSON.parse(kept.layout) as SampleLayout) : undefined;
}

/** A tester's file by the layout kept for its header, else by the guess. */
export async function readByLayout(
  fleet: Fleet,
  given: GivenFile,
): Promise<{ readonly file: SampleFile; readonly remembered: boolean }> {
  const guessed = await readSamples(given.bytes, given.name);
  const kept = guessed.layout ? keptLayout(fleet, guessed.layout.fingerprint) : undefined;
  return kept
    ? { file: await readSamples(given.bytes, given.name, kept), remembered: true }
    : { file: guessed, remembered: false };
}

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
