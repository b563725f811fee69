import { useMemo, useState } from 'react';
import { ask } from '../../client/index.ts';
import type { PeriodDays } from '../../parts/Period.tsx';
import { Placed } from '../../parts/Placed.tsx';
import { Failed, Waiting } from '../../parts/states.tsx';
import { useNarrow } from '../../parts/useNarrow.ts';
import { type Column, VirtualTable } from '../../parts/VirtualTable.tsx';
import { WordFilter } from '../../parts/WordFilter.tsx';
import { type ComplianceRow, countedShort, countedWords, doneWords, placeOf } from '../../words/evidence.ts';
import { registerWaiting, registerWritten } from '../../words/evidenceForms.ts';
import { registerHeads } from '../../words/heads.ts';
import { save } from '../acts.ts';
import { go } from '../route.ts';
import { stretch, useStretches } from '../stretches.ts';
import { ExcuseDialog } from './ExcuseDialog.tsx';
import { Rules } from './Rules.tsx';
import { SubstationCounts } from './SubstationCounts.tsx';

const statuses = ['on time', 'early', 'late', 'missing', 'excused', 'open'] as const;
type Status = (typeof statuses)[number];

/** Every test that was due in the period, and what came of it. */
export function Register({ period, readOnly }: { readonly period: PeriodDays; readonly readOnly: boolean }) {
  const [status, setStatus] = useState<Status | null>(null);
  const [active, setActive] = useState(0);
  const [excusing, setExcusing] = useState<ComplianceRow | null>(null);
  const narrow = useNarrow();
  const { first, total, rowAt, onSight } = useStretches({
    name: 'evidence.register',
    input: (from) => ({ ...period, skip: from, count: stretch, ...(status ? { status } : {}) }),
    rows: (answer) => answer.rows,
    total: (answer) => answer.rowsTotal,
  });
  const oneRule = first.data?.rules.length === 1;
  const columns = useMemo(
    () => registerColumns(readOnly ? null : setExcusing, narrow, oneRule),
    [readOnly, narrow, oneRule],
  );
  if (first.isError) return <Failed error={first.error} again={() => void first.refetch()} />;
  if (!first.data) return <Waiting words={registerWaiting} />;
  const answer = first.data;
  return (
    <>
      <p className="say">{answer.sentence}</p>
      <p className="caption">{answer.caution}</p>
      <SubstationCounts bySubstation={answer.bySubstation} total={answer.total} />
      {answer.unknown.count > 0 && (
        <p className="caption">
          For {answer.unknown.count} segments no due day can be told: {answer.unknown.because}
        </p>
      )}
      <div className="section-head">
        <p className="caption">
          The register:{' '}
          <WordFilter
            label="Status"
            words={status ?? 'every status'}
            every="every status"
            choices={statuses.map((each) => ({ id: each, name: each }))}
            chosen={status ? [status] : []}
            onChoose={([id]) => setStatus(statuses.find((each) => each === id) ?? null)}
          />
        </p>
        <button
          type="button"
          className="word"
          onClick={() =>
            void save('register.csv', 'file', (csv) => ask('evidence.compliance', { ...period, csv }), registerWritten)
          }
        >
          CSV
        </button>
      </div>
      <div className="register-table">
        <VirtualTable
          label="Register of tests due and done"
          columns={columns}
          total={total}
          rowAt={rowAt}
          keyOf={(row) => `${row.segmentId} ${row.dueOn} ${row.rule}`}
          onSight={onSight}
          rowsAtFirst={14}
          active={active}
          onActive={setActive}
          onOpen={(row) => go('fleet', row.segmentId)}
        />
      </div>
      <Rules versions={answer.rules} />
      {excusing && <ExcuseDialog row={excusing} onClose={() => setExcusing(null)} />}
    </>
  );
}

/** `narrow`: where a segment lies stands below its name. */
function registerColumns(
  excuse: ((row: ComplianceRow) => void) | null,
  narrow: boolean,
  oneRule: boolean,
): Column<ComplianceRow>[] {
  const all: Column<ComplianceRow>[] = [
    { key: 'due', head: registerHeads.due, track: '92px', left: true, cell: (row) => row.dueOn },
    {
      key: 'segment',
      head: registerHeads.segment,
      track: narrow ? 'minmax(170px, 0.8fr)' : 'minmax(130px, 0.7fr)',
      left: true,
      ...(narrow ? {} : { tone: 'strong' }),
      cell: (row) => (narrow ? <Placed name={row.segment} place={placeOf(row)} /> : row.segment),
    },
    {
      key: 'feeder',
      head: registerHeads.feeder,
      track: 'minmax(160px, 1fr)',
      left: true,
      tone: 'second',
      cell: placeOf,
    },
    {
      key: 'since',
      head: registerHeads.countedFromBy,
      track: 'minmax(112px, 2.6fr)',
      left: true,
      tone: 'second',
      title: countedWords,
      cell: (row) => {
        const words = oneRule ? countedShort(row) : countedWords(row);
        return narrow ? <span className="two-lines">{words}</span> : words;
      },
    },
    { key: 'done', head: registerHeads.done, track: narrow ? '152px' : '164px', left: true, cell: doneWords },
    {
      key: 'status',
      head: registerHeads.status,
      track: '80px',
      left: true,
      cell: (row) =>
        row.status === 'missing' || row.status === 'late' ? <span className="caution">{row.status}</span> : row.status,
    },
    {
      key: 'why',
      head: registerHeads.testOrWhyNot,
      track: 'minmax(100px, 0.7fr)',
      left: true,
      cell: (row) =>
        row.excuse ? (
          <span title={`${row.excuse.by}, ${row.excuse.at.slice(0, 10)}`}>{row.excuse.reason}</span>
        ) : row.testOwnerId !== null ? (
          <span className="second">{row.testOwnerId}</span>
        ) : row.status === 'missing' && excuse ? (
          <button
            type="button"
            className="word"
            onClick={(event) => {
              event.stopPropagation();
              excuse(row);
            }}
          >
            excuse…
          </button>
        ) : null,
    },
  ];
  return narrow ? all.filter(({ key }) => key !== 'feeder') : all;
}
