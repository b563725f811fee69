import type { PreviewedTable, TableField } from '../../../core/contract/shapes/records.ts';
import { ask } from '../../client/index.ts';
import { asProblem } from '../../parts/asProblem.ts';
import { say } from '../../parts/toast.ts';
import { tableRemembered } from '../../words/importing.ts';
import { whole } from '../../words/numbers.ts';
import { tableWords, unitWords } from '../../words/records.ts';
import { ForAllRows } from './ForAllRows.tsx';
import { useTableLayout } from './useTableLayout.ts';

interface Props {
  readonly table: PreviewedTable;
  readonly fields: readonly TableField[];
  readonly paths: readonly string[];
  readonly onAgain: () => void;
}

const subjects = ['segments', 'splices', 'failures', 'tests'] as const;
const measures = new Set(['leakage', 'resistance']);

/** One table: what each column was taken for over its first rows, what holds for all rows, and what the rows become. */
export function OwnersTable({ table, fields, paths, onAgain }: Props) {
  const layout = useTableLayout(table, fields);
  const keep = async (): Promise<void> => {
    try {
      const answer = await ask('records.retable', { paths: [...paths], key: table.key, ...layout.wish });
      say(answer.open.length === 0 ? tableRemembered : `Still to be said: ${answer.open[0]}`);
      onAgain();
    } catch (error) {
      say(asProblem(error).message);
    }
  };
  return (
    <form
      className="owners-table"
      aria-label={table.name}
      onSubmit={(event) => {
        event.preventDefault();
        void keep();
      }}
    >
      <p className="owners-head">
        <span className="strong">{table.name}</span>, {whole(table.rowCount)} rows, holds{' '}
        <select
          className="field"
          aria-label={`${table.name} holds`}
          value={layout.subject}
          onChange={(event) => layout.choose(event.target.value as PreviewedTable['subject'])}
        >
          {subjects.map((subject) => (
            <option key={subject} value={subject}>
              {tableWords[subject]}
            </option>
          ))}
        </select>
        {table.remembered && <span className="caption"> · read as it was corrected before</span>}
      </p>
      {table.open.length > 0 && (
        <ul className="remarks">
          {table.open.map((line) => (
            <li key={line} className="caution">
              To be said: {line.replaceAll('_', ' ')}
            </li>
          ))}
        </ul>
      )}
      {table.doubts.map((line) => (
        <p key={line} className="caption">
          {line}
        </p>
      ))}
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: a scrolled region must be reachable by keyboard */}
      <section className="tests-scroll" aria-label={`Columns of ${table.name}`} tabIndex={0}>
        <table className="ledger first-rows">
          <thead>
            <tr>
              {layout.columns.map((column, at) => (
                <th key={`${column.name} ${at.toString()}`} scope="col" className="left">
                  <ColumnChoice layout={layout} at={at} />
                </th>
              ))}
            </tr>
            <tr>
              {layout.columns.map((column, at) => (
                <th key={`${column.name} ${at.toString()}`} scope="col" className="left">
                  {column.name}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {table.rows.map((row, at) => (
              <tr key={at.toString()}>
                {layout.columns.map((column, i) => (
                  <td key={`${column.name} ${i.toString()}`} className="left nowrap">
                    {row[i]}
                  </td>
                ))}
              </tr>
            ))}
          </tbody>
        </table>
      </section>
      <ForAllRows table={table} layout={layout} />
      <p className="layout-foot">
        <button type="submit" className="button">
          Read it so, and every table with this header
        </button>
      </p>
      {table.becomes.length > 0 && (
        <details>
          <summary className="caption">What the rows become</summary>
          {table.becomes.map((part) => (
            <Becomes key={part.file} part={part} />
          ))}
        </details>
      )}
    </form>
  );
}

type Layout = ReturnType<typeof useTableLayout>;

function ColumnChoice({ layout, at }: { readonly layout: Layout; readonly at: number }) {
  const column = layout.columns[at]!;
  const field = layout.own.find((one) => one.field === column.field);
  return (
    <>
      <select
        className="field"
        aria-label={`${column.name || `Column ${at + 1}`} is`}
        value={column.field ?? ''}
        onChange={(event) => {
          const next = layout.own.find((one) => one.field === event.target.value);
          layout.put(at, {
            field: next?.field ?? null,
            unit: next && column.unit && next.units.includes(column.unit) ? column.unit : null,
          });
        }}
      >
        <option value="">left out</option>
        {layout.own.map((one) => (
          <option key={one.field} value={one.field}>
            {one.says}
          </option>
        ))}
      </select>
      {field && field.units.length > 0 && (
        <select
          className="field"
          aria-label={`Unit of ${column.name || `column ${at + 1}`}`}
          value={column.unit ?? ''}
          onChange={(event) => layout.put(at, { unit: event.target.value || null })}
        >
          <option value="">unit?</option>
          {field.units.map((unit) => (
            <option key={unit} value={unit}>
              {unitWords(unit)}
            </option>
          ))}
        </select>
      )}
      {column.field !== null && measures.has(column.field) && (
        <>
          <select
            className="field"
            aria-label={`Phase of ${column.name || `column ${at + 1}`}`}
            value={column.phase ?? ''}
            onChange={(event) => layout.put(at, { phase: (event.target.value || null) as 'A' | null })}
          >
            <option value="">phase of the row</option>
            <option value="A">phase A</option>
            <option value="B">phase B</option>
            <option value="C">phase C</option>
          </select>
          {column.atMin !== null && <span className="caption">after {Number(column.atMin.toFixed(2))} min</span>}
        </>
      )}
    </>
  );
}

function Becomes({ part }: { readonly part: PreviewedTable['becomes'][number] }) {
  const filled = part.header.map((_, i) => part.rows.some((row) => row[i] !== ''));
  return (
    <div className="tests-scroll">
      <table className="ledger">
        <caption className="caption left">
          {part.file}: {whole(part.count)} rows
        </caption>
        <thead>
          <tr>
            {part.header.map((name, i) =>
              filled[i] ? (
                <th key={name} scope="col" className="left">
                  {name}
                </th>
              ) : null,
            )}
          </tr>
        </thead>
        <tbody>
          {part.rows.map((row, at) => (
            <tr key={at.toString()}>
              {part.header.map((name, i) =>
                filled[i] ? (
                  <td key={name} className="left nowrap">
                    {row[i]}
                  </td>
                ) : null,
              )}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}
