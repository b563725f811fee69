import type { SegmentPage, TestRow } from '../contract/asks/segment.ts';
import type { BriefTest } from '../contract/shapes/retest.ts';
import { measured } from '../report/quantities.ts';

type Reading = TestRow['readings'][number];

/** The reading that stands for a phase: the last step of a step test. */
function lastStep(test: TestRow, phase: string): Reading | null {
  let best: Reading | null = null;
  for (const reading of test.readings)
    if (reading.phase === phase && (best === null || reading.step >= best.step)) best = reading;
  return best;
}

const asWritten = (reading: Reading | null): string | null =>
  reading === null ? null : `${reading.belowFloor ? '<' : ''}${measured(reading.leakageUa)}`;

function span(values: readonly (number | null)[]): string {
  const known = values.filter((value) => value !== null);
  if (known.length === 0) return '–';
  const [lo, hi] = [Math.min(...known), Math.max(...known)];
  return lo === hi ? String(lo) : `${lo}–${hi}`;
}

/** Every test in one line each, newest first. */
export const briefTests = (page: SegmentPage): BriefTest[] =>
  page.tests.map((test) => {
    const last = (['A', 'B', 'C'] as const).map((phase) => lastStep(test, phase));
    const read = last.filter((reading) => reading !== null);
    const temperatures = read.flatMap((reading) => reading.insulationTempC ?? reading.ambientTempC ?? []);
    return {
      id: test.id,
      ownerId: test.ownerId,
      testedOn: test.testedOn,
      method: test.method,
      purpose: test.purpose,
      voltageKv: span(read.map((reading) => reading.voltageKv)),
      dwellMin: span(read.map((reading) => reading.dwellMin)),
      tempC: temperatures.length > 0 ? temperatures.reduce((a, b) => a + b, 0) / temperatures.length : null,
      a: asWritten(last[0]!),
      b: asWritten(last[1]!),
      c: asWritten(last[2]!),
      nsPerKmAt20C: test.nsPerKmAt20C,
      instrument: test.instrument?.name ?? null,
      calibration: test.calibration,
      crew: test.crew,
      says: test.says,
    };
  });
