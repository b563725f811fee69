import { useState } from 'react';
import type { OutputOf } from '../../../core/contract/asks/index.ts';
import { Failed } from '../../parts/states.tsx';
import { Tree } from '../../parts/Tree.tsx';
import { WordFilter } from '../../parts/WordFilter.tsx';
import { RowStrip } from '../../parts/YearStrip.tsx';
import { count } from '../../words/numbers.ts';
import { treeAside, treeTitle } from '../../words/tree.ts';
import { routeLength } from '../../words/units.ts';
import { go } from '../route.ts';
import { change, useSettings } from '../settings.ts';
import { AddDialog } from './AddDialog.tsx';
import { toggleBranch } from './openBranches.ts';
import { useTreeRows } from './useTreeRows.ts';

interface Props {
  readonly info: OutputOf<'fleet.info'>;
  readonly segmentId: string | null;
  /** The feeder of the segment that is shown. */
  readonly feederId: string | null;
}

const orders = [
  { id: 'growth', name: 'by growth' },
  { id: 'name', name: 'by name' },
] as const;

export function FleetTree({ info, segmentId, feederId }: Props) {
  const { treeOrder, units } = useSettings();
  const { rows, error } = useTreeRows(treeOrder, units);
  const [adding, setAdding] = useState(false);
  const [active, setActive] = useState<string | null>(segmentId);
  return (
    <section className="tree-side" aria-label="Fleet">
      <div className="tree-head">
        <span>
          {count(info.counts.segments, 'segment')} · {routeLength(info.lengthKm, units)}
        </span>
        <WordFilter
          label="Order of the tree"
          words={orders.find((order) => order.id === treeOrder)?.name ?? ''}
          choices={orders}
          chosen={[treeOrder]}
          onChoose={([order]) => change({ treeOrder: order === 'name' ? 'name' : 'growth' })}
        />
      </div>
      {error ? (
        <div className="tree-failed">
          <Failed error={error} />
        </div>
      ) : (
        <Tree
          rows={rows}
          label="Substations, feeders and segments"
          activeId={active ?? segmentId}
          selectedId={segmentId}
          onActive={(row) => setActive(row.id)}
          onOpen={(row) => go('fleet', row.id)}
          onToggle={(row, to) => toggleBranch(row.id, to)}
        >
          {(row) => (
            <>
              <span className="tree-name" title={treeTitle(row.node, units)}>
                {row.node.name} <small>{treeAside(row.node)}</small>
              </span>
              {row.node.strip && <RowStrip strip={row.node.strip} silent />}
            </>
          )}
        </Tree>
      )}
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
}
