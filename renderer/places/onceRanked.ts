import type { OutputOf } from '../../core/contract/asks/index.ts';
import { queries } from './asking.ts';

const isRanked = (): boolean =>
  queries.getQueriesData<OutputOf<'fleet.tree'>>({ queryKey: ['fleet.tree'] }).some(([, tree]) => tree?.ranked);

/** Acts at once where the tree is known to be ranked, else as soon as it is; gives how to call it off. */
export function onceRanked(act: () => void): () => void {
  if (isRanked()) {
    act();
    return () => {};
  }
  const stop = queries.getQueryCache().subscribe(({ type, query }) => {
    if (type !== 'updated' || query.queryKey[0] !== 'fleet.tree' || !isRanked()) return;
    stop();
    act();
  });
  return stop;
}
