import { useId, useState } from 'react';
import type { OutputOf } from '../../../core/contract/asks/index.ts';
import type { Phase } from '../../../core/contract/shapes/trade.ts';
import { ask } from '../../client/index.ts';
import { asProblem } from '../../parts/asProblem.ts';
import { DayLine } from '../../parts/Day.tsx';
import { FormDialog } from '../../parts/FormDialog.tsx';
import { say } from '../../parts/toast.ts';
import { isDay } from '../../words/dates.ts';
import { inWords } from '../../words/labels.ts';
import { asSet } from '../../words/numbers.ts';
import type { Brief } from '../../words/retest.ts';
import { recordedWords, testCorrected, testRecorded } from '../../words/retestForms.ts';
import { celsius, temperature, temperatureUnit } from '../../words/units.ts';
import { useAsk } from '../asking.ts';
import { useUnits } from '../settings.ts';
import type { TypedReadings } from './Cubicle.tsx';
import { RecordFailure } from './RecordFailure.tsx';
import { RecordWork } from './RecordWork.tsx';
import {
  type Method,
  methods,
  optional,
  type Purpose,
  purposes,
  readAs,
  readingsOf,
  type Step,
  stepsOf,
  stepsReady,
  type Unit,
  unreadable,
} from './recordForm.ts';
import { StepReadings } from './StepReadings.tsx';

interface Props {
  readonly brief: Brief;
  /** Readings typed at the cubicle, µA. */
  readonly typed: TypedReadings;
  /** What was recorded, from which revision on the sheet counts it. */
  readonly onRecorded: (recorded: Recorded) => void;
  readonly onClose: () => void;
}

export interface Recorded {
  readonly words: string;
  readonly revision: number;
}

/** Back from the field: the test by hand. A breakdown leads on to the failure of each phase, and those to the repair. */
export function RecordTest({ brief, typed, onRecorded, onClose }: Props) {
  const [recorded, setRecorded] = useState<{ readonly on: string; readonly broken: readonly Phase[] } | null>(null);
  if (recorded === null)
    return (
      <TestEntry
        brief={brief}
        typed={typed}
        onClose={onClose}
        onRecorded={(answer, on, words) => {
          onRecorded({ words, revision: answer.revision });
          if (answer.brokeDown.length > 0) setRecorded({ on, broken: answer.brokeDown });
          else onClose();
        }}
      />
    );
  const [phase, ...rest] = recorded.broken;
  if (phase === undefined) return <RecordWork brief={brief} onClose={onClose} />;
  return (
    <RecordFailure
      key={phase}
      brief={brief}
      on={recorded.on}
      phase={phase}
      onRecorded={() => setRecorded({ ...recorded, broken: rest })}
      onClose={onClose}
    />
  );
}

interface EntryProps extends Omit<Props, 'onRecorded'> {
  readonly onRecorded: (answer: OutputOf<'retest.record'>, on: string, words: string) => void;
}

function TestEntry({ brief, typed, onClose, onRecorded }: EntryProps) {
  const units = useUnits();
  const phases = [...brief.phases].filter((letter): letter is Phase => 'ABC'.includes(letter));
  const [on, setOn] = useState(brief.on);
  const [method, setMethod] = useState<Method>('dc_withstand');
  const [purpose, setPurpose] = useState<Purpose>(brief.purpose);
  const [steps, setSteps] = useState<readonly Step[]>(() => [
    {
      key: 0,
      kv: brief.planned.voltageKv.known ? asSet(brief.planned.voltageKv.value) : '',
      minutes: asSet(brief.planned.dwellMin.value),
      read: Object.fromEntries(phases.flatMap((phase) => readAs(phase, typed[phase]))),
    },
  ]);
  const { tempC, tempSdC } = brief.planned;
  // A temperature that the lead entered for the brief is one that was measured; the season's is not.
  const [temp, setTemp] = useState(tempSdC === 0 ? temperature(tempC.value, units) : '');
  const [air, setAir] = useState('');
  const [humidity, setHumidity] = useState('');
  const [instrumentId, setInstrument] = useState('');
  const [crew, setCrew] = useState('');
  const [unit, setUnit] = useState<Unit>('uA');
  const [corrects, setCorrects] = useState('');
  const [reason, setReason] = useState('');
  const known = useAsk('retest.instruments', isDay(on) ? { on } : {});
  const id = useId();
  const old = brief.tests.find((test) => test.id === corrects);
  const unread = unreadable(steps, [temp, air, humidity]);
  const ready = stepsReady(steps) && unread === null && isDay(on) && (!old || reason.trim().length >= 3);
  const first = steps[0]!;
  const setFirst = (some: Partial<Step>): void => setSteps([{ ...first, ...some }, ...steps.slice(1)]);
  const degrees = (text: string): number | null => {
    const value = optional(text);
    return value === null ? null : celsius(value, units);
  };
  const chooseMethod = (next: Method): void => {
    setMethod(next);
    if (next !== 'dc_step') setSteps(steps.slice(-1));
  };
  /** All that the test to be corrected holds stands in the form first: what is not written anew stays as it was. */
  const correct = async (testId: string): Promise<void> => {
    const page = testId === '' ? null : await ask('segment.page', { segmentId: brief.segmentId });
    const test = page?.tests.find((each) => each.id === testId);
    setCorrects(test ? testId : '');
    if (!test) return;
    const [reading] = test.readings;
    const degreesOf = (tempC: number | null | undefined) => (tempC == null ? '' : temperature(tempC, units));
    setOn(test.testedOn);
    setMethod(test.method);
    if (test.purpose !== null) setPurpose(test.purpose);
    setSteps(stepsOf(test));
    setUnit('uA');
    setTemp(degreesOf(reading?.insulationTempC));
    setAir(degreesOf(reading?.ambientTempC));
    setHumidity(reading?.humidityPct == null ? '' : asSet(reading.humidityPct));
    setInstrument(test.instrument?.id ?? '');
    setCrew(test.crew ?? '');
  };
  const record = async (): Promise<'stay'> => {
    const instrument = known.data?.instruments.find((each) => each.id === instrumentId);
    const readings = readingsOf(steps, phases, unit);
    const answer = await ask('retest.record', {
      segmentId: brief.segmentId,
      testedOn: on,
      method,
      purpose,
      insulationTempC: degrees(temp),
      ambientTempC: degrees(air),
      humidityPct: optional(humidity),
      instrumentId: instrument?.id ?? null,
      crew: crew.trim() === '' ? null : crew.trim(),
      readings,
      supersedes: old ? { testId: old.id, reason: reason.trim() } : null,
    });
    const done = old ? testCorrected(old.testedOn) : testRecorded(brief.name);
    say([done, ...answer.remarks].join(' '));
    onRecorded(answer, on, recordedWords(on, readings, old?.testedOn ?? null));
    return 'stay';
  };
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
  const choice = <T extends string>(
    name: string,
    label: string,
    value: T,
    choices: readonly T[],
    onValue: (value: T) => void,
  ) => (
    <>
      <label htmlFor={`${id}${name}`}>{label}</label>
      <select
        id={`${id}${name}`}
        className="field"
        value={value}
        onChange={(event) => onValue(event.target.value as T)}
      >
        {choices.map((each) => (
          <option key={each} value={each}>
            {inWords(each)}
          </option>
        ))}
      </select>
    </>
  );
  return (
    <FormDialog
      title={`The test of ${brief.name}`}
      submit={old ? 'Correct it' : 'Record it'}
      ready={ready}
      onSubmit={record}
      onClose={onClose}
      wide
    >
      <div className="form record-form">
        <DayLine label="Tested on" value={on} onValue={setOn} />
        {choice('method', 'Method', method, methods, chooseMethod)}
        {choice('purpose', 'Purpose', purpose, purposes, setPurpose)}
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
        {steps.length === 1 && field('kv', 'kV DC', first.kv, (kv) => setFirst({ kv }))}
        {steps.length === 1 && field('dwell', 'Minutes', first.minutes, (minutes) => setFirst({ minutes }))}
        {field('temp', `Cable, ${temperatureUnit(units)}`, temp, setTemp)}
        {field('air', `Air, ${temperatureUnit(units)}`, air, setAir)}
        {field('humidity', 'Humidity, %', humidity, setHumidity)}
        {field('crew', 'Crew', crew, setCrew)}
        <datalist id={`${id}crews`}>
          {known.data?.crews.map((each) => (
            <option key={each} value={each} />
          ))}
        </datalist>
        <label htmlFor={`${id}corrects`}>Corrects</label>
        <select
          id={`${id}corrects`}
          className="field"
          value={corrects}
          onChange={(event) => void correct(event.target.value).catch((error) => say(asProblem(error).message))}
        >
          <option value="">nothing: a test of its own</option>
          {brief.tests.map((test) => (
            <option key={test.id} value={test.id}>
              the test of {test.testedOn}, {test.ownerId}
            </option>
          ))}
        </select>
        {old && field('reason', 'Why', reason, setReason)}
      </div>
      <StepReadings steps={steps} phases={phases} unit={unit} onUnit={setUnit} onSteps={setSteps} />
      {unread !== null && <p className="caution">{unread}</p>}
      {method === 'dc_step' && (
        <p className="caption">
          <button
            type="button"
            className="word"
            onClick={() => setSteps([...steps, { ...steps.at(-1)!, key: steps.length, kv: '', read: {} }])}
          >
            another step
          </button>{' '}
          the lowest voltage first
        </p>
      )}
    </FormDialog>
  );
}
