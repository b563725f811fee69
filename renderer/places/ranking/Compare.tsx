import { useMemo } from 'react';
import type { SegmentPage } from '../../../core/contract/asks/segment.ts';
import { Figure } from '../../charts/Figure.tsx';
import { scaledTogether } from '../../charts/scale.ts';
import { Say } from '../../parts/Say.tsx';
import { Failed, Waiting } from '../../parts/states.tsx';
import { PageStrip } from '../../parts/YearStrip.tsx';
import { rankingWords } from '../../words/ranking.ts';
import { limitedFigure, openingOf, whatItIs } from '../../words/segment.ts';
import type { Sentence } from '../../words/sentence.ts';
import { whyThisRank } from '../../words/standing.ts';
import { useAsk } from '../asking.ts';
import { hrefOf } from '../route.ts';
import { useUnits } from '../settings.ts';

/** Two segments side by side, their charts on the same axes. */
export function Compare({ ids }: { readonly ids: readonly [string, string] }) {
  const left = useAsk('segment.page', { segmentId: ids[0] as SegmentPage['id'] });
  const right = useAsk('segment.page', { segmentId: ids[1] as SegmentPage['id'] });
  const figures = useMemo(() => {
    if (!left.data || !right.data) return null;
    const both = [limitedFigure(left.data), limitedFigure(right.data)] as const;
    return { both, scaled: scaledTogether(...both) };
  }, [left.data, right.data]);
  const error = left.error ?? right.error;
  return (
    <div className="sheet-scroll">
      <article className="sheet sheet-plain">
        <p className="caption no-print">
          <a href={hrefOf('ranking')}>{rankingWords.back}</a>
        </p>
        <h1>{rankingWords.sideBySide}</h1>
        {error ? (
          <Failed error={error} />
        ) : !figures || !left.data || !right.data ? (
          <Waiting />
        ) : (
          <div className="compare">
            <Half page={left.data} figure={figures.both[0]} scaled={figures.scaled} />
            <Half page={right.data} figure={figures.both[1]} scaled={figures.scaled} />
          </div>
        )}
      </article>
    </div>
  );
}

interface HalfProps {
  readonly page: SegmentPage;
  readonly figure: SegmentPage['figure'];
  readonly scaled: ReturnType<typeof scaledTogether>;
}

function Half({ page, figure, scaled }: HalfProps) {
  const units = useUnits();
  return (
    <section aria-label={page.name} className="compare-half">
      <h2>
        <a href={hrefOf('fleet', page.id)}>{page.name}</a>
      </h2>
      <p className="where">{whatItIs(page, units).join(' · ')}</p>
      <Say sentence={withoutNumerals(openingOf(page))} />
      <PageStrip strip={page.strip} />
      <div>
        {page.tests.length > 0 && (
          <Figure figure={figure} fileName={`${page.ownerId}-leakage`} height={260} scaled={scaled} />
        )}
      </div>
      <div>
        {whyThisRank(page.standing).map((line) => (
          <p key={line} className="second">
            {line}
          </p>
        ))}
      </div>
    </section>
  );
}

/** There is no margin here for the numerals to lead to. */
const withoutNumerals = (sentence: Sentence): Sentence =>
  sentence.filter((piece) => typeof piece === 'string' || 'strong' in piece);
