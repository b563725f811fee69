import { describe, expect, test } from 'vitest';
import type { RankingRow } from '../../core/contract/shapes/standing.ts';
import { moved } from '../../renderer/words/ranking.ts';

const from = (rankLastYear: number | null, rank: number | null) => moved({ rank, rankLastYear } as RankingRow);

describe('how a segment moved in the ranking since last year', () => {
  test('up where it came nearer to the first, thousands grouped', () => {
    expect(from(58_420, 53_317)).toBe('up 5,103');
    expect(from(3, 4)).toBe('down 1');
    expect(from(12, 150_012)).toBe('down 150,000');
  });

  test('a segment that was not ranked, is not, or stands where it stood', () => {
    expect(from(null, 7)).toBe('new');
    expect(from(7, null)).toBe('');
    expect(from(7, 7)).toBe('–');
  });
});
