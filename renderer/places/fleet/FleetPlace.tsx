import { useEffect } from 'react';
import type { OutputOf } from '../../../core/contract/asks/index.ts';
import { useAsk } from '../asking.ts';
import { FleetOverview } from './FleetOverview.tsx';
import { FleetTree } from './FleetTree.tsx';
import { revealFeeder } from './openBranches.ts';
import { SegmentPage } from './SegmentPage.tsx';
import './fleet.css';

interface Props {
  readonly info: OutputOf<'fleet.info'>;
  readonly segmentId: string | null;
}

/** The tree at the left, and the page of what is chosen in it. */
export function FleetPlace({ info, segmentId }: Props) {
  const path = useAsk(
    'fleet.path',
    { segmentId: segmentId as OutputOf<'fleet.path'>['segmentId'] },
    { enabled: segmentId !== null },
  );
  useEffect(() => {
    if (path.data) revealFeeder(path.data.substationId, path.data.feederId);
  }, [path.data]);
  return (
    <>
      <FleetTree info={info} segmentId={segmentId} feederId={path.data?.feederId ?? null} />
      <div className="sheet-scroll" key={segmentId ?? 'fleet'}>
        {segmentId === null ? (
          <FleetOverview info={info} />
        ) : (
          <SegmentPage segmentId={segmentId} readOnly={info.readOnly} />
        )}
      </div>
    </>
  );
}
