import type { SegmentId } from '../contract/ids.ts';
import { drawSample, samplingWords } from '../evidence/sample.ts';
import { testsOfPeriod } from '../store/evidence.ts';
import { checkPeriod } from './evidence-compliance.ts';
import type { Task } from './task.ts';

export const sampleTask: Task<'evidence.sample'> = (desk, { from, to, count, seed }) => {
  checkPeriod(from, to);
  const population = testsOfPeriod(desk.fleet, from, to);
  const tests = drawSample(population, seed, count).map((test) => ({
    ...test,
    segmentId: test.segmentId as SegmentId,
  }));
  return { how: samplingWords, population: population.length, tests };
};
