import { expect, test } from 'vitest';
import { counted } from '../../core/report/counted.ts';

test('a count in a sentence has its thousands grouped', () => {
  expect([0, 999, 1944, 1_204_500].map(counted)).toEqual(['0', '999', '1,944', '1,204,500']);
});
