import { useState } from 'react';
import type { InputOf } from '../../../core/contract/asks/index.ts';
import { ask } from '../../client/index.ts';
import type { PeriodDays } from '../../parts/Period.tsx';
import { Failed, Waiting } from '../../parts/states.tsx';
import { WordFilter } from '../../parts/WordFilter.tsx';
import { ledgerWritten } from '../../words/evidenceForms.ts';
import { count } from '../../words/numbers.ts';
import { save } from '../acts.ts';
import { useAsk } from '../asking.ts';
import { LedgerLines } from './LedgerLines.tsx';

type Filter = NonNullable<InputOf<'ledger.page'>['filter']>;

const pageSize = 100;

/** Every change with who, when, before, after and why; nothing is overwritten. */
export function Ledger({ period }: { readonly period: PeriodDays }) {
  const [chosen, setChosen] = useState<Pick<Filter, 'who' | 'what' | 'entity'>>({});
  const [before, setBefore] = useState<readonly number[]>([]);
  const filter: Filter = { ...chosen, ...period };
  const last = before.at(-1);
  const asked = useAsk(
    'ledger.page',
    { count: pageSize, filter, ...(last === undefined ? {} : { before: last }) },
    { keep: true },
  );
  if (asked.isError) return <Failed error={asked.error} again={() => void asked.refetch()} />;
  if (!asked.data) return <Waiting words="Reading the ledger…" />;
  const { total, entries, choices } = asked.data;
  const word = (key: 'who' | 'what' | 'entity', label: string, every: string, list: readonly string[]) => (
    <WordFilter
      label={label}
      words={chosen[key] ?? every}
      every={every}
      choices={list.map((each) => ({ id: each, name: each }))}
      chosen={chosen[key] === undefined ? [] : [chosen[key]]}
      onChoose={([id]) => {
        const { [key]: _, ...rest } = chosen;
        setChosen(id === undefined ? rest : { ...rest, [key]: id });
        setBefore([]);
      }}
    />
  );
  return (
    <>
      <p className="say">
        {count(total, 'line')} of the ledger in this period, newest first. Each carries the hash of the one before it;
        its number opens what it changed.
      </p>
      <div className="section-head">
        <p className="second ledger-words">
          {word('who', 'Who', 'everyone', choices.who)} {word('what', 'What', 'every change', choices.what)}{' '}
          {word('entity', 'Record', 'every kind of record', choices.entities)}
        </p>
        <button
          type="button"
          className="word"
          onClick={() => void save('ledger.csv', 'file', (out) => ask('ledger.export', { out, filter }), ledgerWritten)}
        >
          CSV
        </button>
      </div>
      <LedgerLines entries={entries} />
      <p className="ledger-pages no-print">
        {before.length > 0 && (
          <button type="button" className="word" onClick={() => setBefore(before.slice(0, -1))}>
            newer
          </button>
        )}{' '}
        {entries.length === pageSize && (
          <button type="button" className="word" onClick={() => setBefore([...before, entries.at(-1)!.line])}>
            older
          </button>
        )}
      </p>
    </>
  );
}
