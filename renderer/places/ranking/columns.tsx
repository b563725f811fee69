import type { RankingRow } from '../../../core/contract/shapes/standing.ts';
import { IntervalRow } from '../../parts/IntervalRow.tsx';
import type { Column } from '../../parts/VirtualTable.tsx';
import { RowStrip } from '../../parts/YearStrip.tsx';
import { chanceShort, fixed, measured, whole } from '../../words/numbers.ts';
import { columnHeads, columnNames, highPhaseTitle, moved, rankingWords, widerWords } from '../../words/ranking.ts';
import { crosses } from '../../words/standing.ts';
import type { Order } from './useRankingRows.ts';

interface Setting {
  /** Width of the table in px. */
  readonly width: number;
  readonly scale: { readonly lo: number; readonly hi: number };
  /** Years of the strips, which decide their width. */
  readonly years: number;
  /** Rows that are chosen; Space chooses one. */
  readonly marked: ReadonlySet<string>;
}

/** Columns that may be left out. */
export const columnChoices = [
  { id: 'moved', name: columnNames.moved },
  { id: 'insulation', name: columnNames.insulation },
  { id: 'level', name: columnNames.level },
  { id: 'crossing', name: columnNames.crossing },
  { id: 'p5', name: columnNames.p5 },
  { id: 'tests', name: columnNames.tests },
  { id: 'strip', name: columnNames.strip },
] as const;

/** Under this width, px, some columns stand on the segment's page alone. */
const wideWidth = 1180;
const wideOnly: ReadonlySet<string> = new Set(['moved', 'insulation']);

/** The same with a word at those that the window is too narrow for. */
export const columnsToChoose = (width: number): { id: string; name: string }[] =>
  columnChoices.map(({ id, name }) => ({
    id,
    name: width > wideWidth || !wideOnly.has(id) ? name : `${name} (${widerWords})`,
  }));

/** The ranking's columns; what does not fit a narrow window stands on the segment's page. */
export function rankingColumns({ width, scale, years, marked }: Setting): Column<RankingRow, Order>[] {
  const wide = width > wideWidth;
  const cell = wide ? 5 : 3;
  const strip = years * (cell + 2) + 2;
  const around = 58 + 148 + 52 + 76 + 158 + 62 + 48 + strip + (wide ? 94 + 118 : 0);
  const interval = Math.max(120, Math.min(360, width - around - 12));
  const growth = (row: RankingRow) => row.growthPctPerYr;
  return [
    {
      key: 'rank',
      head: columnHeads.rank,
      track: '58px',
      cell: (row) => `${marked.has(row.id) ? '› ' : ''}${row.rank === null ? '–' : whole(row.rank)}`,
    },
    ...(wide
      ? [
          {
            key: 'moved',
            head: columnHeads.moved,
            track: '94px',
            left: true,
            tone: 'second',
            cell: moved,
          },
        ]
      : []),
    {
      key: 'name',
      head: columnHeads.name,
      track: 'minmax(148px, 1fr)',
      left: true,
      order: 'name',
      tone: 'strong',
      title: (row) => `${row.name}, ${row.feeder}, ${row.substation}`,
      cell: (row) => row.name,
    },
    ...(wide
      ? [
          {
            key: 'insulation',
            head: columnHeads.insulation,
            track: '118px',
            left: true,
            order: 'energised' as const,
            tone: 'second',
            cell: ({ insulation, energisedYear }: RankingRow) =>
              energisedYear === null ? insulation : `${insulation}, ${energisedYear}`,
          },
        ]
      : []),
    {
      key: 'interval',
      head: columnHeads.interval,
      track: `${interval}px`,
      left: true,
      order: 'growth',
      cell: (row) => {
        const known = growth(row);
        return known ? (
          <IntervalRow interval={known} scale={scale} width={interval} />
        ) : (
          <span className="second" title={row.because ?? ''}>
            {row.because ?? rankingWords.notRanked}
          </span>
        );
      },
    },
    {
      key: 'growth',
      head: <span className="unseen">{columnHeads.growth}</span>,
      track: '52px',
      cell: (row) => {
        const known = growth(row);
        return known ? fixed(known.value, 1) : '–';
      },
    },
    {
      key: 'level',
      head: columnHeads.level,
      track: '76px',
      order: 'level',
      cell: (row) => (
        <>
          {row.levelNsPerKm === null ? '–' : measured(row.levelNsPerKm)}
          {row.highPhase && (
            <span className="high-phase" title={highPhaseTitle(row.highPhase)}>
              <span aria-hidden="true">
                {row.highPhase.phase} {measured(row.highPhase.levelNsPerKm)}
              </span>
              <span className="unseen">, {highPhaseTitle(row.highPhase)}</span>
            </span>
          )}
        </>
      ),
    },
    {
      key: 'crossing',
      head: columnHeads.crossing,
      track: '158px',
      order: 'crossing',
      cell: (row) => (row.rank === null ? '–' : crosses(row.crossing, row.strip.now)),
    },
    {
      key: 'p5',
      head: columnHeads.p5,
      track: '62px',
      order: 'pExceed5y',
      cell: (row) => (row.pExceed5y === null ? '–' : chanceShort(row.pExceed5y)),
    },
    { key: 'tests', head: columnHeads.tests, track: '48px', order: 'tests', cell: (row) => whole(row.tests) },
    {
      key: 'strip',
      head: columnHeads.strip,
      track: `${strip}px`,
      left: true,
      cell: (row) => <RowStrip strip={row.strip} cell={cell} height={12} />,
    },
  ];
}
