import { useId } from 'react';
import type { PreviewedFile } from '../../../core/contract/shapes/records.ts';
import { inWords } from '../../words/labels.ts';
import { count } from '../../words/numbers.ts';
import { celsius, temperatureUnit } from '../../words/units.ts';
import { useAsk } from '../asking.ts';
import { useUnits } from '../settings.ts';
import { type Choice, purposes } from './useRecords.ts';

interface Props {
  readonly files: readonly PreviewedFile[];
  readonly choices: ReadonlyMap<string, Choice>;
  readonly onSay: (keys: readonly string[], words: Partial<Choice>) => void;
}

/** What holds for all chosen files at once, where they do not say it themselves. */
export function ForTheChosen({ files, choices, onSay }: Props) {
  const ids = { day: useId(), temp: useId(), instrument: useId(), crew: useId(), purpose: useId() };
  const units = useUnits();
  const { data } = useAsk('retest.instruments', {});
  const chosen = files.filter((file) => choices.get(file.key)?.chosen).map((file) => file.key);
  const tell = (words: Partial<Choice>): void => onSay(chosen, words);
  const whole = chosen.length === files.length;
  return (
    <fieldset className="for-chosen">
      <legend className="caption">
        {count(chosen.length, 'file')} of {files.length} chosen ·{' '}
        <button
          type="button"
          className="word"
          onClick={() =>
            onSay(
              files.map((file) => file.key),
              { chosen: !whole },
            )
          }
        >
          {whole ? 'choose none' : 'choose all'}
        </button>
        . For all chosen at once:
      </legend>
      <label htmlFor={ids.day}>day</label>
      <input
        id={ids.day}
        type="date"
        className="field"
        onChange={(event) => event.target.value !== '' && tell({ testedOn: event.target.value })}
      />
      <label htmlFor={ids.temp}>insulation {temperatureUnit(units)}</label>
      <input
        id={ids.temp}
        className="field narrow"
        inputMode="decimal"
        onBlur={(event) => {
          const value = Number(event.target.value.replace(',', '.'));
          if (event.target.value.trim() !== '' && Number.isFinite(value))
            tell({ insulationTempC: celsius(value, units) });
        }}
      />
      <label htmlFor={ids.instrument}>instrument</label>
      <select
        id={ids.instrument}
        className="field"
        defaultValue=""
        onChange={(event) => event.target.value !== '' && tell({ instrumentId: event.target.value })}
      >
        <option value="">as the files say</option>
        {data?.instruments.map((instrument) => (
          <option key={instrument.id} value={instrument.id}>
            {instrument.name}
          </option>
        ))}
      </select>
      <label htmlFor={ids.purpose}>purpose</label>
      <select
        id={ids.purpose}
        className="field"
        defaultValue=""
        onChange={(event) => tell({ purpose: purposes.find((each) => each === event.target.value) ?? null })}
      >
        <option value="">not recorded</option>
        {purposes.map((each) => (
          <option key={each} value={each}>
            {inWords(each)}
          </option>
        ))}
      </select>
      <label htmlFor={ids.crew}>crew</label>
      <input
        id={ids.crew}
        className="field"
        onBlur={(event) => event.target.value.trim() !== '' && tell({ crew: event.target.value.trim() })}
      />
    </fieldset>
  );
}
