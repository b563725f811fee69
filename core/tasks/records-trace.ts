import type { TestEventId } from '../contract/ids.ts';
import { refuse } from '../contract/problem.ts';
import type { ShownTrace } from '../contract/shapes/records.ts';
import { outlineOf } from '../numerics/outline.ts';
import { type TraceRowOfTest, tracesOfTest } from '../store/records-traces.ts';
import { decodeTrace } from '../trace/codec.ts';
import type { TraceReading } from '../trace/reading.ts';
import { summaryOf } from './records-summary.ts';
import type { Task } from './task.ts';

export const showTraces: Task<'records.trace'> = (desk, { testIds, samples }) => {
  const rows = testIds.flatMap((id) => tracesOfTest(desk.fleet, id));
  if (rows.length === 0) throw refuse('not-found', 'No samples are kept of this test.', { where: 'testIds' });
  return { traces: rows.map((row) => shownTrace(row, samples)) };
};

function shownTrace(row: TraceRowOfTest, samples: number): ShownTrace {
  const { reading } = JSON.parse(row.says) as { reading: TraceReading };
  const columns = decodeTrace(row.samples);
  const { timeS, voltageKv, currentUa } = columns;
  const zeroS = originOf(reading, timeS);
  const places = outlineOf([voltageKv, currentUa], samples);
  const at = (column: ArrayLike<number>) => places.map((i) => (Number.isFinite(column[i]!) ? column[i]! : null));
  const resistance = columns.resistanceMohm ?? voltageKv.map((kv, i) => (1000 * kv) / currentUa[i]!);
  const breakdown = reading.breakdown;
  return {
    testId: row.testId as TestEventId,
    testOwnerId: row.testOwnerId,
    testedOn: row.testedOn,
    phase: row.phase as ShownTrace['phase'],
    file: row.file,
    sampleCount: row.sampleCount,
    timeS: places.map((i) => timeS[i]! - zeroS),
    voltageKv: at(voltageKv),
    currentUa: at(currentUa),
    resistanceMohm: at(resistance),
    parts: partsOf(reading, timeS, zeroS),
    breakdownAtS: breakdown.known ? breakdown.value.atS - zeroS : null,
    reading: summaryOf(row.file, reading),
  };
}

/** The moment the highest voltage was reached; the start of the record where none was held. */
const originOf = (reading: TraceReading, timeS: ArrayLike<number>): number =>
  reading.steps.at(-1)?.startS ?? timeS[0] ?? 0;

/** Rise, holds, discharge, in order of time. */
function partsOf(reading: TraceReading, timeS: Float64Array, zeroS: number): ShownTrace['parts'] {
  const first = timeS[0]!;
  const last = timeS[timeS.length - 1]!;
  const parts: { name: string; fromS: number; toS: number }[] = [];
  let until = first;
  reading.steps.forEach((step, i) => {
    if (step.startS > until) parts.push({ name: 'rise', fromS: until, toS: step.startS });
    until = step.startS + step.dwellS;
    const name = reading.steps.length > 1 ? `step ${i + 1}` : 'dwell';
    parts.push({ name, fromS: step.startS, toS: until });
  });
  const after = reading.breakdown.known ? 'after the breakdown' : 'discharge';
  if (reading.steps.length === 0) parts.push({ name: 'no hold', fromS: first, toS: last });
  else if (until < last) parts.push({ name: after, fromS: until, toS: last });
  return parts.map((part) => ({ ...part, fromS: part.fromS - zeroS, toS: part.toS - zeroS }));
}
