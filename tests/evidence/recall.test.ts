import { expect, test } from 'vitest';
import { recall } from '../../core/evidence/recall.ts';

const place = { column: 'name', path: [1], seen: [] };

test('what one value said before is found by trying', () => {
  const sealed = JSON.stringify(['a', 'Mill Lane 4', 7]).slice(1, -1);
  expect(recall(['a', 'Mill Lane 5', 7], [place], (text) => text === sealed, 10_000)).toMatchObject({
    column: 'name',
    was: 'Mill Lane 4',
    is: 'Mill Lane 5',
  });
});

test('a record as long as a kept plan is tried less often, so that verify answers in seconds', () => {
  let tried = 0;
  const content = ['a', 'x'.repeat(400_000), 7];
  const places = [place, { column: 'value', path: [2], seen: [] }];
  expect(recall(content, places, () => ++tried < 0, 20_000)).toBeUndefined();
  // 20,000 tries of a short record; at 100 times the text a try costs about 100 of them, and twice where it is a text itself.
  expect(tried).toBeGreaterThan(50);
  expect(tried).toBeLessThan(250);
});
