import type { Phase } from '../../../core/contract/shapes/trade.ts';
import { stepReadingsHeads } from '../../words/heads.ts';
import { nothingRead, type Outcome, outcomes, type Read, type Step, type Unit } from './recordForm.ts';

interface Props {
  readonly steps: readonly Step[];
  readonly phases: readonly Phase[];
  readonly unit: Unit;
  readonly onUnit: (unit: Unit) => void;
  readonly onSteps: (steps: readonly Step[]) => void;
}

/** What was read, phase by phase; in a step test, voltage by voltage. */
export function StepReadings({ steps, phases, unit, onUnit, onSteps }: Props) {
  const many = steps.length > 1;
  const change = (at: number, some: Partial<Step>): void =>
    onSteps(steps.map((step, i) => (i === at ? { ...step, ...some } : step)));
  return (
    <table className="ledger record-readings">
      <thead>
        <tr>
          {many && (
            <th scope="col" className="left">
              {stepReadingsHeads.kvMinutes}
            </th>
          )}
          <th scope="col" className="left">
            {stepReadingsHeads.phase}
          </th>
          <th scope="col" className="left">
            Read,{' '}
            <select
              className="field"
              aria-label="Unit of leakage"
              value={unit}
              onChange={(event) => onUnit(event.target.value as Unit)}
            >
              <option value="nA">nA</option>
              <option value="uA">µA</option>
              <option value="mA">mA</option>
              <option value="MΩ">MΩ</option>
            </select>
          </th>
          <th scope="col" className="left">
            {unit === 'MΩ' ? 'More than it can show' : 'At the instrument’s floor'}
          </th>
          <th scope="col" className="left">
            {stepReadingsHeads.outcome}
          </th>
        </tr>
      </thead>
      <tbody>
        {steps.flatMap((step, at) =>
          phases.map((phase, p) => {
            const read = step.read[phase] ?? nothingRead;
            const set = (some: Partial<Read>): void =>
              change(at, { read: { ...step.read, [phase]: { ...read, ...some } } });
            const of = many ? `phase ${phase}, step ${at + 1}` : `phase ${phase}`;
            return (
              <tr key={`${step.key} ${phase}`}>
                {many && (
                  <td className="left">
                    {p === 0 && (
                      <>
                        <input
                          className="field"
                          aria-label={`kV of step ${at + 1}`}
                          inputMode="decimal"
                          style={{ width: '6ch' }}
                          value={step.kv}
                          onChange={(event) => change(at, { kv: event.target.value })}
                        />{' '}
                        <input
                          className="field"
                          aria-label={`Minutes of step ${at + 1}`}
                          inputMode="decimal"
                          style={{ width: '5ch' }}
                          value={step.minutes}
                          onChange={(event) => change(at, { minutes: event.target.value })}
                        />
                      </>
                    )}
                  </td>
                )}
                <td className="left">{phase}</td>
                <td className="left">
                  <input
                    className="field"
                    inputMode="decimal"
                    aria-label={`Leakage of ${of}`}
                    value={read.value}
                    onChange={(event) => set({ value: event.target.value })}
                  />
                </td>
                <td className="left">
                  <input
                    type="checkbox"
                    aria-label={`The floor for ${of}`}
                    checked={read.belowFloor}
                    onChange={(event) => set({ belowFloor: event.target.checked })}
                  />
                </td>
                <td className="left">
                  <select
                    className="field"
                    aria-label={`Outcome of ${of}`}
                    value={read.outcome}
                    onChange={(event) => set({ outcome: event.target.value as Outcome | '' })}
                  >
                    <option value="">choose</option>
                    {outcomes.map((each) => (
                      <option key={each}>{each}</option>
                    ))}
                  </select>
                </td>
              </tr>
            );
          }),
        )}
      </tbody>
    </table>
  );
}
