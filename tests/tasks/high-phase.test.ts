import { afterAll, beforeAll, expect, test } from 'vitest';
import { aCore, type TestCore } from './a-core.ts';

let t: TestCore;
beforeAll(async () => {
  t = await aCore();
  // As many as the demo has, so that a few of them hold a phase that ages on its own.
  await t.ask('demo.write', { segments: 600 });
});
afterAll(() => t.close());

// A phase whose splice failed and was renewed read like the others afterwards, and was still named by what it had been.
test('a phase named as surely above the mean of its segment’s reads highest in its last test', async () => {
  const { rows } = await t.ask('ranking.page', { count: 1000 });
  const high = rows.filter((row) => row.highPhase !== null);
  expect(high.length).toBeGreaterThan(0);
  expect(high.length).toBeLessThan(rows.length / 10);
  for (const { id, name, highPhase, levelNsPerKm, limitNsPerKm } of high) {
    const page = await t.ask('segment.page', { segmentId: id });
    expect(page.standing.known && page.standing.highPhase, name).toEqual(highPhase);
    expect(highPhase!.levelNsPerKm, name).toBeGreaterThan(1.25 * levelNsPerKm!);
    expect(highPhase!.aboveLimit, name).toBe(limitNsPerKm !== null && highPhase!.levelNsPerKm > limitNsPerKm);
    const last = page.tests[0]!.readings;
    const top = last.reduce((most, reading) => (reading.leakageUa > most.leakageUa ? reading : most));
    expect(top.phase, name).toBe(highPhase!.phase);
  }
});
