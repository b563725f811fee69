import type { OutputOf } from '../../../core/contract/asks/index.ts';
import { BriefSheet } from './BriefSheet.tsx';
import { DueList } from './DueList.tsx';
import './retests.css';

interface Props {
  readonly info: OutputOf<'fleet.info'>;
  /** Owner's id of the segment whose brief is open. */
  readonly segment: string | null;
}

/** What is due, and the brief of one retest. */
export function RetestsPlace({ info, segment }: Props) {
  return segment === null ? (
    <DueList readOnly={info.readOnly} />
  ) : (
    <div className="sheet-scroll">
      <BriefSheet key={segment} segment={segment} readOnly={info.readOnly} />
    </div>
  );
}
