import { useId, useState } from 'react';
import type { InputOf, OutputOf } from '../../../core/contract/asks/index.ts';
import type { Phase } from '../../../core/contract/shapes/trade.ts';
import { Modal } from '../../parts/Modal.tsx';
import { asSet } from '../../words/numbers.ts';
import type { Brief } from '../../words/retest.ts';
import { act } from '../acts.ts';
import { useAsk } from '../asking.ts';
import { RecordFailure } from './RecordFailure.tsx';

type Typed = InputOf<'retest.record'>;
type Outcome = Typed['readings'][number]['outcome'];
type Line = { readonly leakage: string; readonly belowFloor: boolean; readonly outcome: Outcome | '' };

const outcomes: readonly Outcome[] = ['withstood', 'breakdown', 'stopped'];
/** No outcome is taken for granted: whoever records says that a phase withstood. */
const empty: Line = { leakage: '', belowFloor: false, outcome: '' };
const optional = (text: string): number | null => (text.trim() === '' ? null : Number(text));

/** Back from the field: the test by hand, phase by phase. A breakdown leads on to the failure. */
export function RecordTest({ brief, onClose }: { readonly brief: Brief; readonly onClose: () => void }) {
  const phases = [...brief.phases].filter((letter): letter is Phase => 'ABC'.includes(letter));
  const [on, setOn] = useState(brief.on);
  const [kv, setKv] = useState(brief.planned.voltageKv.known ? asSet(brief.planned.voltageKv.value) : '');
  const [dwell, setDwell] = useState(asSet(brief.planned.dwellMin.value));
  const [temp, setTemp] = useState('');
  const [air, setAir] = useState('');
  const [humidity, setHumidity] = useState('');
  const [instrumentId, setInstrument] = useState('');
  const [crew, setCrew] = useState('');
  const [unit, setUnit] = useState<'nA' | 'uA' | 'mA'>('uA');
  const [lines, setLines] = useState<Readonly<Partial<Record<Phase, Line>>>>({});
  const [recorded, setRecorded] = useState<OutputOf<'retest.record'> | null>(null);
  const known = useAsk('retest.instruments', /^\d{4}-\d{2}-\d{2}$/.test(on) ? { on } : {});
  const id = useId();
  const lineOf = (phase: Phase): Line => lines[phase] ?? empty;
  const set = (phase: Phase, some: Partial<Line>): void =>
    setLines({ ...lines, [phase]: { ...lineOf(phase), ...some } });
  const read = phases.filter((phase) => Number(lineOf(phase).leakage) > 0);
  const said = read.every((phase) => lineOf(phase).outcome !== '');
  const ready = read.length > 0 && said && Number(kv) > 0 && /^\d{4}-\d{2}-\d{2}$/.test(on);
  const record = async (): Promise<void> => {
    const instrument = known.data?.instruments.find((each) => each.id === instrumentId);
    const answer = await act(
      'retest.record',
      {
        segmentId: brief.segmentId,
        testedOn: on,
        purpose: brief.purpose,
        insulationTempC: optional(temp),
        ambientTempC: optional(air),
        humidityPct: optional(humidity),
        instrumentId: instrument?.id ?? null,
        crew: crew.trim() === '' ? null : crew.trim(),
        readings: read.map((phase) => ({
          phase,
          voltageKv: Number(kv),
          dwellMin: optional(dwell),
          leakage: Number(lineOf(phase).leakage),
          leakageUnit: unit,
          belowFloor: lineOf(phase).belowFloor,
          outcome: lineOf(phase).outcome as Outcome,
        })),
      },
      `The test of ${brief.name} is recorded.`,
    );
    if (!answer) return;
    if (answer.brokeDown.length > 0) setRecorded(answer);
    else onClose();
  };
  if (recorded) return <RecordFailure brief={brief} on={on} phase={recorded.brokeDown[0] ?? null} onClose={onClose} />;
  const field = (name: string, label: string, value: string, onValue: (value: string) => void) => (
    <>
      <label htmlFor={`${id}${name}`}>{label}</label>
      <input
        id={`${id}${name}`}
        className="field"
        autoComplete="off"
        value={value}
        onChange={(event) => onValue(event.target.value)}
        {...(name === 'crew' ? { list: `${id}crews` } : {})}
      />
    </>
  );
  return (
    <Modal title={`The test of ${brief.name}`} open onClose={onClose} wide>
      <form
        onSubmit={(event) => {
          event.preventDefault();
          if (ready) void record();
        }}
      >
        <div className="form record-form">
          {field('on', 'Tested on', on, setOn)}
          {field('kv', 'kV DC', kv, setKv)}
          {field('dwell', 'Minutes', dwell, setDwell)}
          {field('temp', 'Cable, °C', temp, setTemp)}
          {field('air', 'Air, °C', air, setAir)}
          {field('humidity', 'Humidity, %', humidity, setHumidity)}
          <label htmlFor={`${id}instrument`}>Instrument</label>
          <select
            id={`${id}instrument`}
            className="field"
            value={instrumentId}
            onChange={(event) => setInstrument(event.target.value)}
          >
            <option value="">not recorded</option>
            {known.data?.instruments.map((each) => (
              <option key={each.id} value={each.id}>
                {each.name}, {each.calibration}
              </option>
            ))}
          </select>
          {field('crew', 'Crew', crew, setCrew)}
          <datalist id={`${id}crews`}>
            {known.data?.crews.map((each) => (
              <option key={each} value={each} />
            ))}
          </datalist>
        </div>
        <table className="ledger record-readings">
          <thead>
            <tr>
              <th scope="col" className="left">
                Phase
              </th>
              <th scope="col" className="left">
                Leakage,{' '}
                <select
                  className="field"
                  aria-label="Unit of leakage"
                  value={unit}
                  onChange={(event) => setUnit(event.target.value as typeof unit)}
                >
                  <option value="nA">nA</option>
                  <option value="uA">µA</option>
                  <option value="mA">mA</option>
                </select>
              </th>
              <th scope="col" className="left">
                At the instrument’s floor
              </th>
              <th scope="col" className="left">
                Outcome
              </th>
            </tr>
          </thead>
          <tbody>
            {phases.map((phase) => (
              <tr key={phase}>
                <td className="left">{phase}</td>
                <td className="left">
                  <input
                    className="field"
                    inputMode="decimal"
                    aria-label={`Leakage of phase ${phase}`}
                    value={lineOf(phase).leakage}
                    onChange={(event) => set(phase, { leakage: event.target.value })}
                  />
                </td>
                <td className="left">
                  <input
                    type="checkbox"
                    aria-label={`Phase ${phase} read at the floor`}
                    checked={lineOf(phase).belowFloor}
                    onChange={(event) => set(phase, { belowFloor: event.target.checked })}
                  />
                </td>
                <td className="left">
                  <select
                    className="field"
                    aria-label={`Outcome of phase ${phase}`}
                    value={lineOf(phase).outcome}
                    onChange={(event) => set(phase, { outcome: event.target.value as Outcome })}
                  >
                    <option value="">choose</option>
                    {outcomes.map((each) => (
                      <option key={each}>{each}</option>
                    ))}
                  </select>
                </td>
              </tr>
            ))}
          </tbody>
        </table>
        <div className="modal-acts">
          <button type="submit" className="button first" disabled={!ready}>
            Record it
          </button>
          <button type="button" className="button" onClick={onClose}>
            Leave it
          </button>
        </div>
      </form>
    </Modal>
  );
}
