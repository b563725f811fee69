import type { DueRow } from '../../../core/contract/shapes/retest.ts';
import { Placed } from '../../parts/Placed.tsx';
import type { Column } from '../../parts/VirtualTable.tsx';
import { placeOf } from '../../words/evidence.ts';
import { dueHeads } from '../../words/heads.ts';
import { daysWords } from '../../words/retest.ts';

/**
 * `narrow`: what the last test said gives its room to why the segment is due, as its page has it, and where the segment
 * lies stands below its name.
 */
export function dueColumns(
  marked: ReadonlySet<string>,
  mark: (row: DueRow) => void,
  narrow: boolean,
): Column<DueRow>[] {
  const columns: Column<DueRow>[] = [
    {
      key: 'mark',
      head: <span className="unseen">In the round</span>,
      track: '36px',
      left: true,
      cell: (row) => (
        <input
          type="checkbox"
          tabIndex={-1}
          aria-label={`${row.segment} in the round`}
          checked={marked.has(row.segmentId)}
          onClick={(event) => event.stopPropagation()}
          onChange={() => mark(row)}
        />
      ),
    },
    { key: 'due', head: dueHeads.due, track: '88px', left: true, cell: (row) => row.dueOn },
    {
      key: 'days',
      head: dueHeads.in,
      track: '104px',
      left: true,
      cell: (row) => (
        <span className={row.state === 'overdue' && !row.inGrace ? 'caution' : 'second'}>
          {daysWords(row)}
          {row.inGrace ? ', in grace' : ''}
        </span>
      ),
    },
    {
      key: 'segment',
      head: dueHeads.segment,
      track: narrow ? 'minmax(170px, 0.8fr)' : 'minmax(124px, 0.8fr)',
      left: true,
      ...(narrow ? {} : { tone: 'strong' }),
      cell: (row) => (narrow ? <Placed name={row.segment} place={placeOf(row)} /> : row.segment),
    },
    {
      key: 'where',
      head: dueHeads.feeder,
      track: 'minmax(176px, 1fr)',
      left: true,
      tone: 'second',
      cell: placeOf,
    },
    { key: 'last', head: dueHeads.lastTested, track: '88px', left: true, cell: (row) => row.lastTestedOn ?? 'never' },
    {
      key: 'result',
      head: dueHeads.itSaid,
      track: 'minmax(76px, 0.6fr)',
      left: true,
      tone: 'second',
      cell: (row) => row.lastResult,
    },
    {
      key: 'how',
      head: dueHeads.how,
      track: '116px',
      left: true,
      cell: (row) =>
        row.noDc ? <span className="caution">no direct voltage</span> : <span className="second">DC by its table</span>,
    },
    {
      key: 'note',
      head: dueHeads.whyThen,
      track: 'minmax(170px, 1.9fr)',
      left: true,
      tone: 'second',
      title: (row) => `${row.rule}: ${row.because}`,
      cell: (row) => (narrow ? <span className="two-lines">{whyThen(row)}</span> : whyThen(row)),
    },
  ];
  return narrow ? columns.filter(({ key }) => key !== 'result' && key !== 'where') : columns;
}

const whyThen = (row: DueRow): string =>
  [row.because, row.first ? 'the plan tests it first' : '', row.excuse === null ? '' : `excused: ${row.excuse}`]
    .filter((words) => words !== '')
    .join('; ');
