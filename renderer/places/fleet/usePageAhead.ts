import { useEffect } from 'react';
import type { OutputOf } from '../../../core/contract/asks/index.ts';
import { asking, queries } from '../asking.ts';

/** Who rests on a row this long may open it; who passes over it asks nothing. */
const restMs = 120;

/** Reads the page of a segment that is likely to be opened next, so that it stands at once when it is. */
export function usePageAhead(segmentId: string | null): void {
  useEffect(() => {
    if (segmentId === null) return;
    const resting = setTimeout(() => {
      // Without a ranking the page would have one made: that is for whoever opens it.
      if (isRanked())
        void queries.prefetchQuery(asking('segment.page', { segmentId: segmentId as OutputOf<'segment.page'>['id'] }));
    }, restMs);
    return () => clearTimeout(resting);
  }, [segmentId]);
}

const isRanked = (): boolean =>
  queries.getQueriesData<OutputOf<'fleet.tree'>>({ queryKey: ['fleet.tree'] }).some(([, tree]) => tree?.ranked);
