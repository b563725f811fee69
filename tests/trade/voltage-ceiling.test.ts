import { expect, test } from 'vitest';
import { highestPublishedDcKv } from '../../core/trade/voltage-ceiling.ts';

test('the ceiling of a class is the highest value of either table for new cable (ICEA S-97-682, quoted; UFGS 16302N)', () => {
  // 15 kV: ICEA 64, UFGS 85 for paper at 133 %. 25 kV: ICEA 96, UFGS 135. 46 kV: ICEA 172 alone.
  expect(highestPublishedDcKv(15)).toBe(85);
  expect(highestPublishedDcKv(25)).toBe(135);
  expect(highestPublishedDcKv(46)).toBe(172);
  // A class that no table lists takes the next one up.
  expect(highestPublishedDcKv(12.47)).toBe(85);
  expect(highestPublishedDcKv(69)).toBe(Number.POSITIVE_INFINITY);
});
