import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { aCore, type TestCore } from './a-core.ts';

let t: TestCore;
beforeAll(async () => {
  t = await aCore();
  await t.ask('demo.write', { segments: 400, seed: 1 });
});
afterAll(() => t.close());

/** What the forecast says of failures on record, and the count that the fleet tells. */
async function told() {
  const { failureModel } = await t.ask('forecast.list', { years: 1, top: 1 });
  const said = (pattern: RegExp) => failureModel.map((line) => pattern.exec(line)).find((found) => found !== null)!;
  const used = Number(said(/^(\d+) failures in /)[1]);
  const [, total, reasons] = said(/^(\d+) are on record; not counted: (.*)\.$/);
  const left = reasons!.split('; ').map((reason) => /^(\d+) (.*)$/.exec(reason)!.slice(1));
  const { counts } = await t.ask('fleet.info', {});
  return { used, total: Number(total), left, onRecord: counts.failures };
}

test('the forecast says which failures on record it does not learn from: the rest is what it counts', async () => {
  const before = await told();
  expect(before.total).toBe(before.onRecord);
  // The first of all marks the day from which the records are taken to begin; nothing can be observed before it.
  expect(before.left).toEqual([['1', 'on the first day of the records, from which they are taken to begin']]);
  expect(before.used).toBe(before.total - 1);

  const out = join(t.folder, 'folder');
  await t.ask('fleet.export', { out });
  const file = join(out, 'failures.csv');
  const lines = readFileSync(file, 'utf8').trimEnd().split('\n');
  expect(lines[0]!.trim()).toMatch(/^failure_id,segment_id,failed_on,phase,part,cause,/);
  const [, segment, day] = lines.at(-1)!.split(',') as [string, string, string];
  const row = (id: string, ...cells: string[]) => [id, ...cells, '', ''].join(',');
  const laidOfLate = /^(S\d+N),/m.exec(readFileSync(join(out, 'segments.csv'), 'utf8'))![1]!;
  lines.push(
    row('DUG', segment, '2020-04-01', 'A', 'cable', 'dig-in by a contractor'),
    row('EARLY', laidOfLate, '2010-01-01', 'A', 'cable', 'insulation'),
    row('TWICE', segment, day, 'B', 'termination', 'tracking'),
  );
  writeFileSync(file, `${lines.join('\n')}\n`);
  const imported = await t.ask('fleet.import', { paths: [file] });
  expect(imported.committed).toBe(true);
  const after = await told();
  expect(after.used).toBe(before.used);
  expect(after.total).toBe(after.onRecord);
  expect(after.left.map(([n, because]) => [Number(n), because])).toEqual([
    [1, 'of digging or the like, which says nothing about the cable'],
    [1, 'while the segment was not in service, or is not known to have been'],
    [1, 'on the first day of the records, from which they are taken to begin'],
    [1, 'of another phase or part on the same day'],
  ]);
  expect(after.left.reduce((sum, [n]) => sum + Number(n), after.used)).toBe(after.total);
});
