import { useEffect } from 'react';
import type { OutputOf } from '../../../core/contract/asks/index.ts';
import { asking, queries } from '../asking.ts';
import { onceRanked } from '../onceRanked.ts';

/** Who rests on a row this long may open it; who passes over it asks nothing. */
const restMs = 120;

/** Reads the page of a segment that is likely to be opened next, so that it stands at once when it is. */
export function usePageAhead(segmentId: string | null): void {
  useEffect(() => {
    if (segmentId === null) return;
    const page = asking('segment.page', { segmentId: segmentId as OutputOf<'segment.page'>['id'] });
    let callOff = (): void => {};
    const resting = setTimeout(() => {
      // Without a ranking the page would have one made: that is for whoever opens it.
      callOff = onceRanked(() => void queries.prefetchQuery(page));
    }, restMs);
    return () => {
      clearTimeout(resting);
      callOff();
    };
  }, [segmentId]);
}
