import { type ReactNode, useEffect, useId, useState } from 'react';
import type { TreeFilter } from '../../../core/contract/shapes/tree-filter.ts';
import { WordFilter } from '../../parts/WordFilter.tsx';
import { asSet } from '../../words/numbers.ts';
import { classWords, filterTicks, insulationWords, testedWords } from '../../words/treeFilter.ts';
import { useAsk } from '../asking.ts';
import { isYear } from './treeFilter.ts';

interface Props {
  readonly filter: TreeFilter;
  /** `typing`: a letter more of the same word. */
  readonly onFilter: (filter: { [K in keyof TreeFilter]: TreeFilter[K] | undefined }, typing?: boolean) => void;
}

const testedChoices = [
  { id: 'yes', name: 'tested' },
  { id: 'no', name: 'never tested' },
];

/** What the tree can be narrowed by, as words. */
export function TreeFilters({ filter, onFilter }: Props) {
  const choices = useAsk('ranking.choices', {}).data;
  const id = useId();
  return (
    <div className="tree-filters">
      <TextField text={filter.text ?? ''} onText={(text) => onFilter({ ...filter, text }, true)} />
      <p>
        <WordFilter
          label="Insulation"
          words={insulationWords(filter)}
          every="every insulation"
          many
          choices={(choices?.insulations ?? []).map((each) => ({ id: each, name: each }))}
          chosen={filter.insulation ?? []}
          onChoose={(ids) =>
            onFilter({ ...filter, insulation: choices?.insulations.filter((each) => ids.includes(each)) })
          }
        />
        {', '}
        <WordFilter
          label="Rated class"
          words={classWords(filter)}
          every="every rated class"
          many
          choices={(choices?.ratedKv ?? []).map((kv) => ({ id: String(kv), name: `${asSet(kv)} kV` }))}
          chosen={(filter.ratedKv ?? []).map(String)}
          onChoose={(ids) => onFilter({ ...filter, ratedKv: ids.map(Number) })}
        />
        {', '}
        <WordFilter
          label="Tested"
          words={testedWords(filter.tested)}
          every="tested or not"
          choices={testedChoices}
          chosen={filter.tested === undefined ? [] : [filter.tested ? 'yes' : 'no']}
          onChoose={([chosen]) => onFilter({ ...filter, tested: chosen === undefined ? undefined : chosen === 'yes' })}
        />
      </p>
      <p>
        energised from{' '}
        <YearField
          label="Energised from"
          year={filter.energisedFrom}
          onYear={(energisedFrom) => onFilter({ ...filter, energisedFrom })}
        />{' '}
        to{' '}
        <YearField
          label="Energised to"
          year={filter.energisedTo}
          onYear={(energisedTo) => onFilter({ ...filter, energisedTo })}
        />
      </p>
      <p className="tree-ticks">
        {filterTicks.map(({ word, label, title }) => (
          <Tick
            key={word}
            id={`${id}${word}`}
            title={title}
            checked={filter[word] === true}
            onTick={(on) => onFilter({ ...filter, [word]: on || undefined })}
          >
            {label}
          </Tick>
        ))}
      </p>
    </div>
  );
}

interface TickProps {
  readonly id: string;
  readonly title: string;
  readonly checked: boolean;
  readonly onTick: (on: boolean) => void;
  readonly children: ReactNode;
}

const Tick = ({ id, title, checked, onTick, children }: TickProps) => (
  <label htmlFor={id} title={title}>
    <input id={id} type="checkbox" checked={checked} onChange={(event) => onTick(event.target.checked)} /> {children}
  </label>
);

/** How long a pause in typing asks for the tree. */
const pauseMs = 120;

function TextField({ text, onText }: { readonly text: string; readonly onText: (text: string) => void }) {
  const [typed, setTyped] = useState(text);
  const [seen, setSeen] = useState(text);
  const [sent, setSent] = useState(text);
  // What the address says counts where it was changed from elsewhere: back, forward, cleared.
  if (text !== seen) {
    setSeen(text);
    if (text !== sent) {
      setTyped(text);
      setSent(text);
    }
  }
  useEffect(() => {
    if (typed === sent) return;
    const timer = setTimeout(() => {
      setSent(typed);
      onText(typed);
    }, pauseMs);
    return () => clearTimeout(timer);
  });
  return (
    <input
      id={treeTextId}
      className="field"
      aria-label="Part of a name or an owner’s id"
      placeholder="Part of a name or id"
      autoComplete="off"
      spellCheck={false}
      maxLength={200}
      value={typed}
      onChange={(event) => setTyped(event.target.value)}
    />
  );
}

export const treeTextId = 'tree-text';

interface YearProps {
  readonly label: string;
  readonly year: number | undefined;
  readonly onYear: (year: number | undefined) => void;
}

/** A year as text; empty is any. It holds once it is a year. */
function YearField({ label, year, onYear }: YearProps) {
  const known = year === undefined ? '' : String(year);
  const [typed, setTyped] = useState(known);
  const [was, setWas] = useState(known);
  if (known !== was) {
    setWas(known);
    setTyped(known);
  }
  return (
    <input
      className="term tree-year"
      aria-label={`${label}, a year`}
      aria-invalid={typed !== '' && !isYear(typed)}
      placeholder="any"
      inputMode="numeric"
      maxLength={4}
      value={typed}
      onChange={(event) => {
        const next = event.target.value.trim();
        setTyped(next);
        if (next === '') onYear(undefined);
        else if (isYear(next)) onYear(Number(next));
      }}
      onBlur={() => setTyped(known)}
    />
  );
}
