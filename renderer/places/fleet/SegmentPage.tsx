import { memo, useEffect, useMemo, useState } from 'react';
import type { SegmentPage as Page } from '../../../core/contract/asks/segment.ts';
import { Figure } from '../../charts/Figure.tsx';
import { openMargin } from '../../parts/MarginNotes.tsx';
import { Say } from '../../parts/Say.tsx';
import { Failed, Renewing, Waiting } from '../../parts/states.tsx';
import { useLetters } from '../../parts/useLetters.ts';
import { PageStrip } from '../../parts/YearStrip.tsx';
import { feederName, limitedFigure, openingOf, substationName, whatItIs } from '../../words/segment.ts';
import { useAsk } from '../asking.ts';
import { go, hrefOf } from '../route.ts';
import { useUnits } from '../settings.ts';
import { CableRun } from './CableRun.tsx';
import { SegmentEvents } from './SegmentEvents.tsx';
import { SegmentHistory } from './SegmentHistory.tsx';
import { SegmentMargin } from './SegmentMargin.tsx';
import { TestsTable } from './TestsTable.tsx';
import { Verdicts } from './Verdicts.tsx';

interface Props {
  readonly segmentId: string;
  readonly readOnly: boolean;
  /** Still in sight while the page of another segment is read; takes no keys. */
  readonly held: boolean;
}

export function SegmentPage({ segmentId, readOnly, held }: Props) {
  const page = useAsk('segment.page', { segmentId: segmentId as Page['id'] });
  if (page.isError)
    return (
      <div className="sheet sheet-plain">
        <Failed error={page.error} again={() => void page.refetch()} />
      </div>
    );
  if (!page.data)
    return (
      <div className="sheet sheet-plain">
        <Waiting words="Reading the segment…" />
      </div>
    );
  return (
    <>
      <Renewing on={page.isFetching} />
      <Sheet page={page.data} readOnly={readOnly} held={held} renewing={page.isFetching} />
    </>
  );
}

interface SheetProps {
  readonly page: Page;
  readonly readOnly: boolean;
  readonly held: boolean;
  /** A change has overtaken what is shown. */
  readonly renewing: boolean;
}

function Sheet({ held, ...shown }: SheetProps) {
  const { page, readOnly } = shown;
  const [editing, setEditing] = useState(false);
  const edit = (): void => {
    openMargin();
    setEditing(true);
  };
  useLetters(held ? {} : { b: () => go('retests', page.ownerId), ...(readOnly ? {} : { e: edit }) });
  useEffect(() => {
    const before = document.title;
    document.title = `${page.name} · ${before}`;
    return () => {
      document.title = before;
    };
  }, [page.name]);
  return <Written {...shown} editing={editing} onEditing={setEditing} />;
}

interface WrittenProps extends Omit<SheetProps, 'held'> {
  readonly editing: boolean;
  readonly onEditing: (editing: boolean) => void;
}

/** What is written on the sheet; not written anew because another page is waited for. */
const Written = memo(function Written({ page, readOnly, renewing, editing, onEditing }: WrittenProps) {
  const units = useUnits();
  const figure = useMemo(() => limitedFigure(page), [page]);
  const sentence = openingOf(page);
  return (
    <article className="sheet with-margin" aria-busy={renewing}>
      <div className="page-head">
        <h1>{page.name}</h1>
        <p className="where">
          {substationName(page.substation.name)} · {feederName(page.feeder.name)} · {whatItIs(page, units).join(' · ')}
          {page.replaces && (
            <>
              {' '}
              · replaces <a href={hrefOf('fleet', page.replaces.id)}>{page.replaces.name}</a>
            </>
          )}
          {page.replacedBy && (
            <>
              {' '}
              · replaced by <a href={hrefOf('fleet', page.replacedBy.id)}>{page.replacedBy.name}</a>
            </>
          )}
        </p>
        <Say sentence={sentence} />
      </div>
      <SegmentMargin page={page} editing={readOnly ? null : { on: editing, set: onEditing }} />
      <div className="page-body">
        <PageStrip strip={page.strip} />
        {page.tests.length > 0 && <Figure figure={figure} fileName={`${page.ownerId}-leakage`} height={272} />}
        <TestsTable page={page} />
        <Verdicts page={page} />
        <CableRun page={page} />
        <SegmentEvents page={page} />
        <SegmentHistory page={page} />
      </div>
    </article>
  );
});
