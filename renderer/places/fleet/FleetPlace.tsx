import { useDeferredValue, useState } from 'react';
import type { OutputOf } from '../../../core/contract/asks/index.ts';
import { useLate } from '../../parts/useLate.ts';
import { useAsk } from '../asking.ts';
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

/** The tree at the left, and the page of what is chosen in it. */
export function FleetPlace({ info, segmentId }: Props) {
  const { shown, page } = useShown(segmentId);
  const held = shown !== segmentId;
  // The page first: the tree follows when it is drawn.
  const followed = useDeferredValue(segmentId);
  const substationId = useDeferredValue(held ? null : (page?.substation.id ?? null));
  const feederId = useDeferredValue(held ? null : (page?.feeder.id ?? null));
  return (
    <>
      <FleetTree info={info} segmentId={followed} substationId={substationId} feederId={feederId} />
      <div className="sheet-scroll" key={shown ?? 'fleet'} inert={held} aria-busy={held}>
        {shown === null ? (
          <FleetOverview info={info} />
        ) : (
          <SegmentPage segmentId={shown} readOnly={info.readOnly} held={held} />
        )}
      </div>
    </>
  );
}

/** Whose page is shown: until the answer for another segment is here the former one's, which takes no keys meanwhile. */
function useShown(segmentId: string | null) {
  const asked = useAsk(
    'segment.page',
    { segmentId: segmentId as OutputOf<'segment.page'>['id'] },
    { enabled: segmentId !== null },
  );
  const waiting = segmentId !== null && asked.isPending;
  const late = useLate(waiting, holdMs);
  const [former, setFormer] = useState(segmentId);
  const shown = waiting && !late ? former : segmentId;
  if (former !== shown) setFormer(shown);
  return { shown, page: asked.data };
}
