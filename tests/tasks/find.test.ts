import fc from 'fast-check';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { Haystack } from '../../core/tasks/haystack.ts';
import { aCore, type TestCore } from './a-core.ts';

/** What is meant, said the slow way: every line of every record looked at by itself. */
function slowly(records: readonly string[], text: string, count: number): number[] {
  const rank = (record: string): number => {
    const lines = record.split('\n');
    if (lines.some((line) => line === text)) return 0;
    if (lines.some((line) => line.startsWith(text))) return 1;
    if (lines.some((line) => line.includes(` ${text}`) || line.includes(`-${text}`))) return 2;
    return lines.some((line) => line.includes(text)) ? 3 : 9;
  };
  const ranked = records.map((record, i) => [rank(record), i] as const).filter(([r]) => r < 9);
  return ranked
    .sort((a, b) => a[0] - b[0] || a[1] - b[1])
    .slice(0, count)
    .map(([, i]) => i);
}

const word = fc.string({ unit: fc.constantFrom('a', 'b', ' ', '-', 'ü'), minLength: 1, maxLength: 6 });

test('finds what looking at every record finds, in the same order', () => {
  const record = fc.tuple(word, word).map(([name, id]) => `${name}\n${id}`);
  fc.assert(
    fc.property(fc.array(record, { maxLength: 40 }), word, fc.integer({ min: 1, max: 12 }), (records, text, count) => {
      expect(new Haystack(records).find(text, count)).toEqual(slowly(records, text, count));
    }),
    { numRuns: 500 },
  );
});

test('where thousands of records hold the text, the same ones come first', () => {
  const records = Array.from({ length: 9000 }, (_, i) => `${i % 7 === 0 ? 'Old ' : ''}Mill Lane ${i}\nS${9000 - i}`);
  const hay = new Haystack(records);
  for (const text of ['mill', 'Mill', 'Mill Lane 7', 'Lane', '1', 'S1', 'S12', 'ill', 'e 1', ' ', 'Old Mill Lane 8995'])
    for (const count of [1, 12, 100]) expect(hay.find(text, count), text).toEqual(slowly(records, text, count));
  expect(hay.find('\n', 5)).toEqual([]);
});

test('finds a name by the beginnings of its words, the one with most of them whole first', () => {
  const names = ['Tannery Row 12 10', 'Tannery Row 12 1', 'Tannery Row 112 1', 'Old Tannery 12-1', 'Row Tan 1 12'];
  const hay = new Haystack(names.map((name, i) => `${name.toLowerCase()}\ns${i}`));
  expect(hay.findWords('tan 12 1', 9)).toEqual([1, 3, 0]);
  expect(hay.findWords('t r 12 1', 9)).toEqual([1, 0]);
  expect(hay.findWords('tan 12 1', 1)).toEqual([1]);
  expect(hay.findWords('12 tan', 9)).toEqual([]);
  // One word is for the plain search.
  expect(hay.findWords('tan', 9)).toEqual([]);
});

let t: TestCore;
beforeAll(async () => {
  t = await aCore();
  await t.ask('demo.write', { segments: 60 });
});
afterAll(() => t.close());

test('finds a splice by the beginning of its id in any case, and by a part of it where nothing else is called so', async () => {
  const beginning = await t.ask('fleet.find', { text: 'j0000', count: 50 });
  const splices = beginning.hits.filter((hit) => hit.kind === 'splice');
  expect(splices.length).toBeGreaterThan(3);
  const { name } = splices[0]!;
  const { hits } = await t.ask('fleet.find', { text: name.slice(-4), count: 50 });
  expect(hits.map((hit) => hit.name)).toContain(name);
});
