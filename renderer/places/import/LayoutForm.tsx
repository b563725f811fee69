import { useState } from 'react';
import type { InputOf } from '../../../core/contract/asks/index.ts';
import type { LayoutGuess, PreviewedFile } from '../../../core/contract/shapes/records.ts';
import { ask } from '../../client/index.ts';
import { asProblem } from '../../parts/asProblem.ts';
import { say } from '../../parts/toast.ts';
import { layoutGuessed, layoutKept, layoutLearnt } from '../../words/importing.ts';
import { unitWords } from '../../words/records.ts';

const units = {
  time: ['s', 'ms', 'min', 'h', 'd', 'clock', 'date-time'],
  date: ['date'],
  voltage: ['V', 'kV'],
  current: ['nA', 'uA', 'mA', 'A'],
  resistance: ['Ohm', 'kOhm', 'MOhm', 'GOhm', 'TOhm'],
  other: [],
} as const;
type Role = keyof typeof units;
const roles = Object.keys(units) as Role[];

interface Props {
  readonly file: PreviewedFile;
  readonly layout: LayoutGuess;
  readonly given: Pick<InputOf<'records.preview'>, 'paths' | 'aside'>;
  readonly onAgain: () => Promise<void>;
}

/** What each column was taken for, over the first rows; corrected, it holds for every file with this header. */
export function LayoutForm({ file, layout, given, onAgain }: Props) {
  const [columns, setColumns] = useState(layout.columns.map(({ role, unit }) => ({ role, unit })));
  const [decimal, setDecimal] = useState(layout.decimal);
  const changed =
    decimal !== layout.decimal ||
    columns.some((column, i) => column.role !== layout.columns[i]!.role || column.unit !== layout.columns[i]!.unit);
  const put = (at: number, words: Partial<{ role: Role; unit: string | null }>): void =>
    setColumns(columns.map((column, i) => (i === at ? { ...column, ...words } : column)));
  const keep = async (): Promise<void> => {
    try {
      const answer = await ask('records.relayout', { ...given, key: file.key, decimal, columns });
      say(answer.reads ? layoutKept : `Kept, but: ${answer.because}`);
      await onAgain();
    } catch (error) {
      say(asProblem(error).message);
    }
  };
  return (
    <form
      className="layout-form"
      onSubmit={(event) => {
        event.preventDefault();
        void keep();
      }}
    >
      <p className="caption">{layout.remembered ? layoutLearnt : layoutGuessed}</p>
      <div className="tests-scroll">
        <table className="ledger first-rows">
          <thead>
            <tr>
              {layout.columns.map((column, at) => (
                <th key={`${column.name} ${at.toString()}`} scope="col">
                  <select
                    className="field"
                    aria-label={`Column ${column.name || at + 1} is`}
                    value={columns[at]!.role}
                    onChange={(event) => {
                      const role = event.target.value as Role;
                      put(at, { role, unit: units[role][0] ?? null });
                    }}
                  >
                    {roles.map((role) => (
                      <option key={role} value={role}>
                        {role === 'other' ? 'left out' : role}
                      </option>
                    ))}
                  </select>
                  {units[columns[at]!.role].length > 0 && (
                    <select
                      className="field"
                      aria-label={`Unit of ${column.name || at + 1}`}
                      value={columns[at]!.unit ?? ''}
                      onChange={(event) => put(at, { unit: event.target.value || null })}
                    >
                      {columns[at]!.unit === null && <option value="">unit?</option>}
                      {units[columns[at]!.role].map((unit) => (
                        <option key={unit} value={unit}>
                          {unitWords(unit)}
                        </option>
                      ))}
                    </select>
                  )}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {file.rows.slice(0, 6).map((row, at) => (
              <tr key={at.toString()} className={at === 0 ? 'second' : ''}>
                {layout.columns.map((column, i) => (
                  <td key={`${column.name} ${i.toString()}`}>{row[i] ?? ''}</td>
                ))}
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      <p className="layout-foot">
        <label>
          decimal mark{' '}
          <select className="field" value={decimal} onChange={(event) => setDecimal(event.target.value as '.' | ',')}>
            <option value=".">point</option>
            <option value=",">comma</option>
          </select>
        </label>
        <button
          type="submit"
          className="button"
          disabled={!changed || columns.some((c) => c.role !== 'other' && c.unit === null)}
        >
          Read all files with this header so
        </button>
      </p>
    </form>
  );
}
