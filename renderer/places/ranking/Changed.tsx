import { useState } from 'react';
import type { RankMove } from '../../../core/contract/shapes/rank-move.ts';
import { ask, host } from '../../client/index.ts';
import { DayField } from '../../parts/Day.tsx';
import { IntervalRow } from '../../parts/IntervalRow.tsx';
import { Failed, Waiting } from '../../parts/states.tsx';
import { useWidth } from '../../parts/useWidth.ts';
import { WordFilter } from '../../parts/WordFilter.tsx';
import { earlierFault } from '../../words/dates.ts';
import {
  changedWords,
  cohortsMoved,
  cohortWords,
  growthsWords,
  moveOrders,
  planOfDay,
  ranksSpoken,
  ranksWords,
  reasonChoices,
  reasonWords,
  shownWords,
  typeset,
} from '../../words/moves.ts';
import { rankingWords } from '../../words/ranking.ts';
import { save } from '../acts.ts';
import { useAsk } from '../asking.ts';
import { go, hrefOf } from '../route.ts';

const stretch = 100;
const mostRows = 2000;
const orders = Object.entries(moveOrders).map(([id, name]) => ({ id, name }));

/** What changed in the ranking since an earlier day, and why: a year before where no day is named. */
export function Changed({ since }: { readonly since: string | null }) {
  const [reason, setReason] = useState<RankMove['reason']>();
  const [order, setOrder] = useState<keyof typeof moveOrders>('rank');
  const [count, setCount] = useState(stretch);
  const asked = useAsk(
    'ranking.moves',
    { order, count, ...(since ? { since } : {}), ...(reason ? { reason } : {}) },
    { keep: true },
  );
  const { data } = asked;
  return (
    <div className="sheet-scroll">
      <article className="sheet sheet-plain changed">
        <p className="caption no-print">
          <a href={hrefOf('ranking')}>{rankingWords.back}</a>
        </p>
        <h1>{changedWords.title}</h1>
        {asked.isError ? (
          <>
            <Failed error={asked.error} again={() => void asked.refetch()} />
            {since && (
              <p>
                <a href={hrefOf('ranking', 'since')}>{changedWords.yearAgo}</a>
              </p>
            )}
          </>
        ) : !data ? (
          <Waiting words={changedWords.waiting} />
        ) : (
          <>
            <p className="say">{typeset(data.sentence)}</p>
            <p className="second no-print changed-acts">
              {changedWords.since}{' '}
              <DayField
                key={data.since}
                label={changedWords.day}
                day={data.since}
                against={(day) => earlierFault(day, data.asOf)}
                onDay={(day) => day !== data.since && go('ranking', `since-${day}`)}
              />
              {since && (
                <>
                  {' '}
                  · <a href={hrefOf('ranking', 'since')}>{changedWords.ayearAgo}</a>
                </>
              )}
              {data.approvedPlanOn && data.approvedPlanOn !== data.since && (
                <>
                  {' '}
                  · <a href={hrefOf('ranking', `since-${data.approvedPlanOn}`)}>{planOfDay(data.approvedPlanOn)}</a>
                </>
              )}{' '}
              · {changedWords.movedBy}{' '}
              <WordFilter
                label={changedWords.reason}
                words={reasonWords(reason)}
                every={reasonWords(undefined)}
                choices={reasonChoices(data)}
                chosen={reason ? [reason] : []}
                onChoose={([id]) => setReason(id as RankMove['reason'] | undefined)}
              />{' '}
              · {changedWords.inOrder}{' '}
              <WordFilter
                label={changedWords.order}
                words={moveOrders[order]}
                choices={orders}
                chosen={[order]}
                onChoose={([next]) => next && setOrder(next as keyof typeof moveOrders)}
              />{' '}
              ·{' '}
              <button type="button" className="word" onClick={() => host.print()}>
                {changedWords.print}
              </button>{' '}
              ·{' '}
              <button type="button" className="word" onClick={() => void saveMoves(data.since)}>
                {changedWords.csv}
              </button>
            </p>
            {data.rows.length > 0 && <MovesTable rows={data.rows} scale={data.scale} />}
            {data.rows.length < data.total && (
              <p className="second">
                {shownWords(data.rows.length, data.total)}{' '}
                {count < mostRows && (
                  <button
                    type="button"
                    className="word no-print"
                    onClick={() => setCount(Math.min(mostRows, count + stretch))}
                  >
                    {changedWords.more}
                  </button>
                )}
              </p>
            )}
            {cohortsMoved(data).length > 0 && (
              <section aria-label={changedWords.cohorts}>
                <div className="section-head">
                  <h2>{changedWords.cohortsHead}</h2>
                </div>
                <ul className="changed-cohorts">
                  {cohortsMoved(data).map((each) => (
                    <li key={each.cohort}>{cohortWords(each)}</li>
                  ))}
                </ul>
              </section>
            )}
            <p className="second method-basis">{typeset(data.basis)}</p>
          </>
        )}
      </article>
    </div>
  );
}

interface TableProps {
  readonly rows: readonly RankMove[];
  readonly scale: { readonly lo: number; readonly hi: number };
}

function MovesTable({ rows, scale }: TableProps) {
  const [place, across] = useWidth<HTMLTableElement>(1300);
  const width = across < 1100 ? 150 : 210;
  return (
    <table className="ledger changed-table" ref={place}>
      <thead>
        <tr>
          <th scope="col">{changedWords.rank}</th>
          <th scope="col" className="left">
            {changedWords.segment}
          </th>
          <th scope="col" className="left">
            {changedWords.growth}
          </th>
          <th scope="col">{changedWords.aYear}</th>
          <th scope="col" className="left">
            {changedWords.why}
          </th>
        </tr>
      </thead>
      <tbody>
        {rows.map((row) => (
          <tr key={row.id}>
            <td>
              <span aria-hidden="true">{ranksWords(row)}</span>
              <span className="unseen">{ranksSpoken(row)}</span>
            </td>
            <td className="left">
              <a href={hrefOf('fleet', row.id)}>{row.name}</a>
              <span className="changed-where">
                {row.substation}, {row.insulation}
              </span>
            </td>
            <td className="left">
              {row.growthThen && (
                <span className="changed-then">
                  <IntervalRow interval={row.growthThen} scale={scale} width={width} height={15} />
                </span>
              )}
              {row.growthPctPerYr && (
                <IntervalRow interval={row.growthPctPerYr} scale={scale} width={width} height={15} />
              )}
            </td>
            <td>{growthsWords(row)}</td>
            <td className="left">
              {row.because.map((line, k) => (
                <span key={line} className={k === 0 ? undefined : 'second'}>
                  {typeset(line)}{' '}
                </span>
              ))}
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

const saveMoves = (since: string): Promise<void> =>
  save(
    'ranking-moves.csv',
    'file',
    (path) => ask('ranking.list', { since, movesCsv: path, top: 1 }),
    changedWords.written,
  );
