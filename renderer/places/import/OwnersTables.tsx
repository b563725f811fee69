import type { OutputOf } from '../../../core/contract/asks/index.ts';
import { tablesOpen, tablesRead } from '../../words/importing.ts';
import { count, list } from '../../words/numbers.ts';
import { tableWords } from '../../words/records.ts';
import { OwnersTable } from './OwnersTable.tsx';

export type Tables = OutputOf<'records.tables'>;

interface Props {
  readonly tables: Tables;
  readonly paths: readonly string[];
  /** Looks at the same files again. */
  readonly onAgain: () => void;
}

/** Tables of the owner's own making: how each was read, and what still has to be said. */
export function OwnersTables({ tables, paths, onAgain }: Props) {
  const open = tables.tables.filter((table) => table.open.length > 0);
  return (
    <section aria-label="Tables of your own">
      <div className="section-head">
        <h2>{count(tables.tables.length, 'table')} of your own</h2>
      </div>
      <p className="second">
        {list(tables.tables.map((table) => `${table.name} is taken for ${tableWords[table.subject]}`))}.{' '}
        {open.length > 0 ? tablesOpen : tablesRead}
      </p>
      {tables.tables.map((table) => (
        <OwnersTable
          key={`${table.key} ${table.open.join(' ')} ${table.remembered}`}
          table={table}
          fields={tables.fields}
          paths={paths}
          onAgain={onAgain}
        />
      ))}
    </section>
  );
}
