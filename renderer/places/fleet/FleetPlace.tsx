import { useDeferredValue, useState } from 'react';
import type { OutputOf } from '../../../core/contract/asks/index.ts';
import { useLate } from '../../parts/useLate.ts';
import { asking, queries, useAsk } from '../asking.ts';
import { FleetOverview } from './FleetOverview.tsx';
import { FleetTree } from './FleetTree.tsx';
import { SegmentPage } from './SegmentPage.tsx';
import './fleet.css';

interface Props {
  readonly info: OutputOf<'fleet.info'>;
  readonly segmentId: string | null;
}

/** A page that takes longer than this is waited for on a sheet of its own; until then the former stays in sight. */
const holdMs = 200;
/** Most pages are here sooner: for them the former is not drawn once more as one that takes no clicks. */
const inertMs = 60;

/** The tree at the left, and the page of what is chosen in it. */
export function FleetPlace({ info, segmentId }: Props) {
  const { shown, held } = useShown(segmentId);
  const inert = useLate(held, inertMs);
  // The page first: the tree follows once it is drawn, in one step.
  const followed = useDeferredValue(shown);
  return (
    <>
      <FleetTree info={info} {...followed} />
      <div className="sheet-scroll" key={shown.segmentId ?? 'fleet'} inert={inert} aria-busy={inert}>
        {shown.segmentId === null ? (
          <FleetOverview info={info} />
        ) : (
          <SegmentPage segmentId={shown.segmentId} readOnly={info.readOnly} held={held} />
        )}
      </div>
    </>
  );
}

/** Whose page is shown, and once it is here where its segment stands in the tree. */
interface Shown {
  readonly segmentId: string | null;
  readonly substationId: string | null;
  readonly feederId: string | null;
}

/** Until the answer for another segment is here the former one's page is shown, which takes no keys meanwhile. */
function useShown(segmentId: string | null): { readonly shown: Shown; readonly held: boolean } {
  const input = { segmentId: segmentId as OutputOf<'segment.page'>['id'] };
  // The host works on it while what stands here is drawn once more.
  if (segmentId !== null) askAhead(asking('segment.page', input));
  const asked = useAsk('segment.page', input, { enabled: segmentId !== null });
  const waiting = segmentId !== null && asked.isPending;
  const late = useLate(waiting, holdMs);
  const [former, setFormer] = useState<Shown>({ segmentId, substationId: null, feederId: null });
  const here = {
    segmentId,
    substationId: asked.data?.substation.id ?? null,
    feederId: asked.data?.feeder.id ?? null,
  };
  const shown = (waiting && !late) || isSame(former, here) ? former : here;
  if (former !== shown) setFormer(shown);
  return { shown, held: shown.segmentId !== segmentId };
}

const isSame = (one: Shown, other: Shown): boolean =>
  one.segmentId === other.segmentId && one.substationId === other.substationId && one.feederId === other.feederId;

/** Sends an ask that was never sent before. */
function askAhead(options: ReturnType<typeof asking<'segment.page'>>): void {
  if (!queries.getQueryState(options.queryKey)) void queries.prefetchQuery(options);
}
