import { WordFilter } from '../../parts/WordFilter.tsx';
import type { Either, Line } from './ruleForm.ts';

const families = ['PILC', 'HMWPE', 'XLPE', 'TR-XLPE', 'EPR', 'PVC', 'other'].map((id) => ({ id, name: id }));

interface Props {
  readonly line: Line;
  /** Its place in the rule, from 1: the first line that fits counts. */
  readonly at: number;
  readonly onLine: (line: Line) => void;
  readonly onUp: (() => void) | null;
  readonly onTakeOut: () => void;
}

/** One line of the rule as a sentence with its words and numbers to fill in. */
export function RuleLine({ line, at, onLine, onUp, onTakeOut }: Props) {
  const set = (some: Partial<Line>): void => onLine({ ...line, ...some });
  const number = (key: 'months' | 'fromKv' | 'toKv' | 'phasesApart' | 'level' | 'growth', label: string) => (
    <input
      className="term"
      aria-label={`Line ${at}: ${label}`}
      inputMode="decimal"
      autoComplete="off"
      style={{ width: '5ch' }}
      value={line[key]}
      onChange={(event) => set({ [key]: event.target.value })}
    />
  );
  const choice = (key: 'criticalLoad' | 'alternateSupply', label: string) => (
    <label>
      {label}{' '}
      <select
        className="term"
        aria-label={`Line ${at}: ${label}`}
        value={line[key]}
        onChange={(event) => set({ [key]: event.target.value as Either })}
      >
        <option value="">either way</option>
        <option>yes</option>
        <option>no</option>
      </select>
    </label>
  );
  const tick = (key: 'breakdown' | 'stopped' | 'rising', label: string) => (
    <label>
      <input type="checkbox" checked={line[key]} onChange={(event) => set({ [key]: event.target.checked })} /> {label}
    </label>
  );
  return (
    <fieldset className="rule-line">
      <legend>
        Line {at}
        <span className="rule-line-acts">
          {onUp && (
            <button type="button" className="word" aria-label={`Line ${at} up`} onClick={onUp}>
              up
            </button>
          )}
          <button type="button" className="word" aria-label={`Take out line ${at}`} onClick={onTakeOut}>
            take out
          </button>
        </span>
      </legend>
      <p>
        Every {number('months', 'months')} months:{' '}
        <WordFilter
          label={`Line ${at}: insulation`}
          words={line.insulation.length === 0 ? 'any insulation' : line.insulation.join(', ')}
          every="any insulation"
          many
          choices={families}
          chosen={line.insulation}
          onChoose={(insulation) => set({ insulation })}
        />
        , from {number('fromKv', 'from kV')} to {number('toKv', 'to kV')} kV, {choice('criticalLoad', 'critical load')},{' '}
        {choice('alternateSupply', 'another supply')}
      </p>
      <p className="rule-last">
        <span className="second">after a test that found one of:</span> {tick('breakdown', 'a breakdown')}{' '}
        {tick('stopped', 'a stop')} {tick('rising', 'rising at constant voltage')}{' '}
        <span>phases over {number('phasesApart', 'phases apart over')} : 1</span>{' '}
        <span>level over {number('level', 'level over, per cent of the limit')} % of the limit</span>{' '}
        <span>growth surely over {number('growth', 'growth surely over, per cent a year')} % a year</span>
      </p>
    </fieldset>
  );
}
