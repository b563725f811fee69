import { type KeyboardEvent, memo, type ReactNode, useEffect, useMemo, useRef, useState } from 'react';
import { flushSync } from 'react-dom';
import type { InputOf, OutputOf } from '../../../core/contract/asks/index.ts';
import { ask } from '../../client/index.ts';
import { afterFrame } from '../../parts/afterFrame.ts';
import { asProblem } from '../../parts/asProblem.ts';
import { Failed } from '../../parts/states.tsx';
import { Tree } from '../../parts/Tree.tsx';
import { say } from '../../parts/toast.ts';
import { useLate } from '../../parts/useLate.ts';
import { useWidth } from '../../parts/useWidth.ts';
import { WordFilter } from '../../parts/WordFilter.tsx';
import { RowStrip } from '../../parts/YearStrip.tsx';
import { count } from '../../words/numbers.ts';
import { treeAside, treeTitle } from '../../words/tree.ts';
import { countedWords, filterWords, narrows } from '../../words/treeFilter.ts';
import { routeLength, type UnitSystem } from '../../words/units.ts';
import { addChosen, dropChosen, mostChosen, turnChosen, useChosen } from '../chosen.ts';
import { go, narrow, useRouteQuery } from '../route.ts';
import { change, useSetting, useUnits } from '../settings.ts';
import { AddDialog } from './AddDialog.tsx';
import { ChosenBar } from './ChosenBar.tsx';
import { isRevealed, toggleBranch } from './openBranches.ts';
import { TreeFilters, treeTextId } from './TreeFilters.tsx';
import { filterOf, queryOf, tidy } from './treeFilter.ts';
import { usePageAhead } from './usePageAhead.ts';
import { type FleetRow, openTo, useTreeRows } from './useTreeRows.ts';
import './tree-side.css';

interface Props {
  readonly info: OutputOf<'fleet.info'>;
  readonly segmentId: string | null;
  /** Where the segment that is shown stands, once its page is here. */
  readonly substationId: string | null;
  readonly feederId: string | null;
}

const orders = [
  { id: 'growth', name: 'by growth' },
  { id: 'name', name: 'by name' },
] as const;

/** A strip this wide or more has room for strips of full size. */
const roomy = 330;

/** What a row of the tree shows. */
const rowsShow =
  (isNarrow: boolean, units: UnitSystem, isRoomy: boolean) =>
  ({ node }: FleetRow): ReactNode => (
    <>
      <span className="tree-name" title={treeTitle(node, isNarrow, units)}>
        {node.name} <small>{treeAside(node, isNarrow)}</small>
      </span>
      {node.strip && <RowStrip strip={node.strip} cell={isRoomy ? 4 : 3} gap={isRoomy ? 2 : 1} silent />}
    </>
  );

export const FleetTree = memo(function FleetTree({ info, segmentId, substationId, feederId }: Props) {
  const treeOrder = useSetting('treeOrder');
  const units = useUnits();
  const query = useRouteQuery();
  const filter = filterOf(query);
  const narrowed = filterWords(filter);
  const isNarrow = narrows(filter);
  const setting = { order: treeOrder, units, filter };
  const { rows, counted, error, overtaken } = useTreeRows(setting);
  // biome-ignore lint/correctness/useExhaustiveDependencies: another page opens the tree down to it, another filter does not
  useEffect(() => {
    if (!substationId || !feederId || isRevealed(substationId, feederId)) return;
    let over = false;
    const callOff = afterFrame(() => void openTo(setting, substationId, feederId, () => over));
    return () => {
      over = true;
      callOff();
    };
  }, [segmentId, substationId, feederId]);
  const counting = useLate(overtaken);
  const chosen = useChosen();
  const chosenIds = useMemo(() => new Set(chosen.keys()), [chosen]);
  const [adding, setAdding] = useState(false);
  const [filtering, setFiltering] = useState(false);
  const [active, setActive] = useState<string | null>(segmentId);
  usePageAhead(rows.some((row) => row.id === active && row.open === null) ? active : null);
  const [side, width] = useWidth<HTMLElement>(344);
  const isRoomy = width >= roomy;
  const words = useRef<HTMLButtonElement>(null);
  const shows = useMemo(() => rowsShow(isNarrow, units, isRoomy), [isNarrow, units, isRoomy]);
  const clear = (): void => {
    narrow('');
    if (document.activeElement === document.body) words.current?.focus();
  };
  /** The rows of a leaf, or all that pass below a branch. */
  const choose = async ([first, ...more]: readonly FleetRow[], how: 'turn' | 'add'): Promise<void> => {
    if (!first) return;
    if (how === 'add') return addChosen([first, ...more]);
    if (first.open === null) return turnChosen([first]);
    const under = { kind: first.node.kind, id: first.id } as InputOf<'fleet.passing'>['under'];
    turnChosen(await passing(under));
  };
  const passing = async (under: InputOf<'fleet.passing'>['under']) => {
    try {
      const { segments, total } = await ask('fleet.passing', { under, filter, count: mostChosen });
      if (total > segments.length) say(`Only the first ${count(segments.length, 'segment')} can be chosen at once.`);
      return segments;
    } catch (problem) {
      say(asProblem(problem).message);
      return [];
    }
  };
  const onKey = (event: KeyboardEvent): boolean => {
    if (event.key === 'Escape' && chosen.size > 0) dropChosen();
    else if (event.key === 'Escape' && narrowed.length > 0) clear();
    else if (event.key === 'a' && (event.ctrlKey || event.metaKey)) void passing(null).then(addChosen);
    else if (event.key === '/') {
      // At once, so that the letters that follow are typed into it.
      flushSync(() => setFiltering(true));
      document.getElementById(treeTextId)?.focus();
    } else return false;
    return true;
  };
  /** Escape leaves the words as they are; from the name, Enter or ↓ leads into what it left. */
  const onPanelKey = (event: KeyboardEvent): void => {
    if (event.defaultPrevented) return;
    if (event.key === 'Escape') {
      setFiltering(false);
      words.current?.focus();
    } else if ((event.target as Element).id === treeTextId && (event.key === 'Enter' || event.key === 'ArrowDown'))
      side.current?.querySelector<HTMLElement>('[role=tree]')?.focus();
    else return;
    event.preventDefault();
  };
  return (
    <section className="tree-side" aria-label="Fleet" aria-busy={counting} ref={side}>
      <div className="tree-head">
        <span role="status">
          {counting ? 'counting…' : counted ? countedWords(counted, units) : routeLength(info.lengthKm, units)}
        </span>
        <WordFilter
          label="Order of the tree"
          words={orders.find((order) => order.id === treeOrder)?.name ?? ''}
          choices={orders}
          chosen={[treeOrder]}
          onChoose={([order]) => change({ treeOrder: order === 'name' ? 'name' : 'growth' })}
        />
      </div>
      <p className="tree-narrow no-print">
        <button
          type="button"
          ref={words}
          className="filter-word"
          aria-expanded={filtering}
          title="/ in the tree"
          onClick={() => setFiltering(!filtering)}
        >
          {narrowed.length === 0 ? 'every segment in service' : narrowed.join(' · ')}
        </button>
        {narrowed.length > 0 && (
          <>
            {' '}
            <button type="button" className="word" title="Esc in the tree" onClick={clear}>
              show all
            </button>
          </>
        )}
      </p>
      {filtering && (
        // biome-ignore lint/a11y/noStaticElementInteractions: the keys lead on from wherever the focus is within
        <div onKeyDown={onPanelKey}>
          <TreeFilters filter={filter} onFilter={(next, typing) => narrow(queryOf(tidy(next)), typing)} />
        </div>
      )}
      {error ? (
        <div className="tree-failed">
          <Failed error={error} />
        </div>
      ) : counted?.passing === 0 && narrowed.length > 0 ? (
        <p className="tree-none second">
          No segment fits these words.{' '}
          <button type="button" className="word" onClick={clear}>
            Show all
          </button>
        </p>
      ) : (
        <Tree
          rows={rows}
          label="Substations, feeders and segments"
          activeId={active ?? segmentId}
          currentId={segmentId}
          onActive={(row) => setActive(row.id)}
          onOpen={(row) => go('fleet', row.id, query)}
          onToggle={(row, to) => toggleBranch(row.id, to)}
          chosen={chosenIds}
          onChoose={(some, how) => void choose(some, how)}
          onKey={onKey}
        >
          {shows}
        </Tree>
      )}
      <ChosenBar />
      {!info.readOnly && info.counts.feeders > 0 && (
        <p className="tree-foot no-print">
          <button type="button" className="word" onClick={() => setAdding(true)}>
            add a segment…
          </button>
        </p>
      )}
      {adding && (
        <AddDialog
          feederId={rows.find((row) => row.id === active && row.node.kind === 'feeder')?.id ?? feederId}
          onClose={() => setAdding(false)}
        />
      )}
    </section>
  );
});
