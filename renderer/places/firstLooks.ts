import type { OutputOf } from '../../core/contract/asks/index.ts';
import { idle } from '../parts/idle.ts';
import { asking, queries } from './asking.ts';
import { firstPeriod } from './evidence/firstPeriod.ts';
import { onceRanked } from './onceRanked.ts';
import { stretch } from './stretches.ts';

/**
 * Reads what the ranking, the retests and the evidence show when they are first opened, so that they stand at once. Only
 * what the host has made already: work that takes long is for whoever asks for it.
 */
export async function readFirstLooks(info: OutputOf<'fleet.info'>): Promise<void> {
  await new Promise<void>(onceRanked);
  const asks = [...ofRanking(), ...(info.isDueCounted ? ofDue(info.today) : [])];
  for (const read of asks) {
    await idle();
    await read();
  }
}

const ofRanking = () => [
  () => queries.prefetchQuery(asking('ranking.choices', {})),
  () =>
    queries.prefetchQuery(
      asking('ranking.page', { from: 0, count: stretch, order: 'growth', descending: true, filter: {} }),
    ),
];

const ofDue = (today: string) => [
  () => queries.prefetchQuery(asking('retest.page', { skip: 0, count: stretch })),
  () => queries.prefetchQuery(asking('retest.places', {})),
  () => queries.prefetchQuery(asking('evidence.register', { ...firstPeriod(today), skip: 0, count: stretch })),
];
