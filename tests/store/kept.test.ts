import { expect, test } from 'vitest';
import { keepAnswer, keptAnswer } from '../../core/store/kept.ts';
import { closeFleet, openFleet } from '../../core/store/open.ts';
import { migrations } from '../../migrations/index.ts';

test('a fleet that is looked at day after day keeps the last few answers of a kind, of one edition and one revision', async () => {
  const fleet = await openFleet(':memory:', { migrations, create: true });
  const keep = (name: string, asked: string, revision = 1) =>
    keepAnswer(fleet, {
      name,
      asked,
      revision,
      madeAt: `${asked}T08:00:00.000Z`,
      digest: new Uint8Array(32),
      bytes: new Uint8Array(3),
    });
  const kept = () => fleet.raw.prepare("select name || ' ' || asked from kept order by 1").pluck().all();
  const days = ['2026-01-01', '2026-01-02', '2026-01-03', '2026-01-04', '2026-01-05', '2026-01-06'];
  keep('counts, edition 2', '2025-12-31');
  for (const day of days) keep('standings, edition 9', day);
  expect(kept()).toEqual([
    'counts, edition 2 2025-12-31',
    ...days.slice(2).map((day) => `standings, edition 9 ${day}`),
  ]);
  keep('standings, edition 10', days[5]!);
  expect(kept()).toEqual(['counts, edition 2 2025-12-31', `standings, edition 10 ${days[5]}`]);
  expect(keptAnswer(fleet, 'standings, edition 10', days[5]!, 1)?.bytes.length).toBe(3);
  keep('counts, edition 2', '2026-01-07', 2);
  expect(kept()).toEqual(['counts, edition 2 2026-01-07']);
  closeFleet(fleet);
});
