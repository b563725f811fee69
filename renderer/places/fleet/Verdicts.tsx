import type { SegmentPage } from '../../../core/contract/asks/segment.ts';
import { verdictSentence } from '../../words/findings.ts';
import { hrefOf } from '../route.ts';
import { useUnits } from '../settings.ts';

/** What was decided on findings about the segment, and what that does to its numbers. */
export function Verdicts({ page }: { readonly page: SegmentPage }) {
  const units = useUnits();
  if (page.verdicts.length === 0) return null;
  return (
    <section aria-label="Verdicts on findings" className="verdicts">
      <p className="caption">
        Decided on <a href={hrefOf('import', 'findings')}>what looks wrong</a>:
      </p>
      <ul>
        {page.verdicts.map((row) => (
          <li key={`${row.kind} ${row.testOwnerId} ${row.phase} ${row.on}`}>{verdictSentence(row, units)}</li>
        ))}
      </ul>
    </section>
  );
}
