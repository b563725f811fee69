import { useCallback, useMemo, useState } from 'react';
import type { OutputOf } from '../../../core/contract/asks/index.ts';
import type { DueRow } from '../../../core/contract/shapes/retest.ts';
import { ask } from '../../client/index.ts';
import { Failed, Waiting } from '../../parts/states.tsx';
import { useNarrow } from '../../parts/useNarrow.ts';
import { VirtualTable } from '../../parts/VirtualTable.tsx';
import { WordFilter } from '../../parts/WordFilter.tsx';
import { count, whole } from '../../words/numbers.ts';
import { calendarWritten, dueCsvWritten, dueWaiting, roundWritten } from '../../words/retestForms.ts';
import type { UnitSystem } from '../../words/units.ts';
import { save } from '../acts.ts';
import { useAsk } from '../asking.ts';
import { go } from '../route.ts';
import { useUnits } from '../settings.ts';
import { stretch, useStretches } from '../stretches.ts';
import { dueColumns } from './dueColumns.tsx';
import { LimitsDialog } from './LimitsDialog.tsx';
import { RuleDialog } from './RuleDialog.tsx';

const states = ['overdue', 'within 30 days', 'within 90 days', 'within 365 days', 'later'] as const;
type State = (typeof states)[number];
type Where = { readonly area?: string; readonly substation?: string; readonly feeder?: string };

/** Tests due by the owner's rule, the most overdue first; marked ones make a round. */
export function DueList({ readOnly }: { readonly readOnly: boolean }) {
  const units = useUnits();
  const [form, setForm] = useState<'rule' | 'limits' | null>(null);
  const [state, setState] = useState<State | null>(null);
  const [where, setWhere] = useState<Where>({});
  const [active, setActive] = useState(0);
  const [round, setRound] = useState<ReadonlyMap<string, string>>(new Map());
  const [byPlan, setByPlan] = useState(false);
  const asked = { ...where, ...(state ? { state } : {}) };
  const marks = byPlan ? { first: true } : {};
  const { first, total, rowAt, onSight } = useStretches({
    // What the plan would have first takes a plan to be solved: work, with progress.
    name: byPlan ? 'retest.due' : 'retest.page',
    input: (from) => ({ ...asked, ...marks, skip: from, count: stretch }),
    rows: (answer) => answer.rows,
    total: (answer) => answer.rowsTotal,
  });
  const mark = useCallback((row: DueRow): void => {
    setRound((now) => {
      const next = new Map(now);
      if (!next.delete(row.segmentId)) next.set(row.segmentId, row.segmentOwnerId);
      return next;
    });
  }, []);
  const narrow = useNarrow();
  const marked = useMemo(() => new Set(round.keys()), [round]);
  const columns = useMemo(() => dueColumns(marked, mark, narrow), [marked, mark, narrow]);
  const places = useAsk('retest.places', where, { enabled: first.data !== undefined, keep: true }).data;
  const choices = (key: 'area' | 'substation' | 'feeder') =>
    (places?.[`${key}s`] ?? []).map((name) => ({ id: name, name }));
  const word = (key: 'area' | 'substation' | 'feeder', every: string) => (
    <WordFilter
      label={key}
      words={where[key] ?? every}
      every={every}
      choices={choices(key)}
      chosen={where[key] === undefined ? [] : [where[key]]}
      onChoose={([name]) => {
        const { [key]: _, ...rest } = where;
        setWhere(name === undefined ? rest : { ...rest, [key]: name });
      }}
    />
  );
  return (
    <article className="sheet due">
      <div className="due-head">
        <div className="place-head">
          <h1>Retests</h1>
          {word('area', 'every area')}
          {word('substation', 'every substation')}
          {word('feeder', 'every feeder')}
          <WordFilter
            label="State"
            words={state ?? 'due at any time'}
            every="due at any time"
            choices={states.map((each) => ({ id: each, name: each }))}
            chosen={state ? [state] : []}
            onChoose={([id]) => setState(states.find((each) => each === id) ?? null)}
          />
          <span className="place-acts">
            <button type="button" className="word" aria-pressed={byPlan} onClick={() => setByPlan(!byPlan)}>
              {byPlan ? 'without the plan’s marks' : 'mark what the plan would test first'}
            </button>{' '}
            ·{' '}
            {!readOnly && (
              <>
                <button type="button" className="word" onClick={() => setForm('rule')}>
                  rule
                </button>{' '}
                ·{' '}
                <button type="button" className="word" onClick={() => setForm('limits')}>
                  limits
                </button>{' '}
                ·{' '}
              </>
            )}
            {round.size > 0 && (
              <>
                <button type="button" className="word" onClick={() => void saveRound([...round.values()], units)}>
                  {count(round.size, 'brief')} as PDF
                </button>{' '}
                ·{' '}
              </>
            )}
            <button type="button" className="word" onClick={() => void saveDue('csv', { ...asked, ...marks })}>
              CSV
            </button>{' '}
            ·{' '}
            <button type="button" className="word" onClick={() => void saveDue('ics', { ...asked, ...marks })}>
              calendar
            </button>
          </span>
        </div>
        {first.data && (
          <>
            <p className="say">{first.data.sentence}</p>
            <p className="caption due-caution">
              {first.data.caution}
              {byPlan && 'plan' in first.data && planWords(first.data.plan)}
              {first.data.unknown > 0 && ` For ${whole(first.data.unknown)} segments no due day can be told.`}
            </p>
          </>
        )}
      </div>
      <div className="due-table">
        {first.isError ? (
          <Failed error={first.error} again={() => void first.refetch()} />
        ) : !first.data ? (
          <Waiting words={dueWaiting} />
        ) : (
          <VirtualTable
            label="Tests due"
            columns={columns}
            total={total}
            rowAt={rowAt}
            keyOf={(row) => row.segmentId}
            onSight={onSight}
            active={active}
            onActive={setActive}
            onOpen={(row) => go('retests', row.segmentOwnerId)}
            onMark={mark}
          />
        )}
      </div>
      {form === 'rule' && first.data && <RuleDialog today={first.data.on} onClose={() => setForm(null)} />}
      {form === 'limits' && <LimitsDialog onClose={() => setForm(null)} />}
    </article>
  );
}

/** What the marks of the plan stand for, once they were asked for. */
function planWords(plan: OutputOf<'retest.due'>['plan']): string {
  return plan.known
    ? ` The plan “${plan.name}” would have ${count(plan.tests, 'test')} first; they are marked.`
    : ` No marks of a plan: ${plan.because}.`;
}

const saveRound = (segments: readonly string[], units: UnitSystem): Promise<void> =>
  save(
    'round.pdf',
    'file',
    (pdf) => ask('retest.round', { segments: [...segments], paper: units === 'us' ? 'Letter' : 'A4', units, pdf }),
    roundWritten,
  );

const saveDue = (
  format: 'csv' | 'ics',
  asked: Where & { readonly state?: State; readonly first?: boolean },
): Promise<void> =>
  save(
    `due.${format}`,
    'file',
    (path) => ask('retest.due', { ...asked, count: 0, [format]: path }),
    format === 'csv' ? dueCsvWritten : calendarWritten,
  );
