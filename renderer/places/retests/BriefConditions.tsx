import { useState } from 'react';
import { asSet } from '../../words/numbers.ts';
import type { Brief } from '../../words/retest.ts';
import { celsius, temperature, temperatureUnit } from '../../words/units.ts';
import { useUnits } from '../settings.ts';
import type { Conditions } from './BriefSheet.tsx';

interface Props {
  readonly brief: Brief;
  readonly conditions: Conditions;
  readonly onConditions: (conditions: Conditions) => void;
}

/** How the lead means to test, as a sentence with its numbers to fill in. What is not typed comes from the record. */
export function BriefConditions({ brief, conditions, onConditions }: Props) {
  const units = useUnits();
  const { planned } = brief;
  const set = (key: 'voltageKv' | 'dwellMin' | 'tempC', value: number | undefined): void => {
    const { [key]: _, ...rest } = conditions;
    onConditions(value === undefined ? rest : { ...rest, [key]: value });
  };
  return (
    <div className="brief-terms">
      <p className="brief-typed">
        At{' '}
        <NumberField
          label="Test voltage, kV DC"
          shown={planned.voltageKv.known ? asSet(planned.voltageKv.value) : ''}
          onNumber={(value) => set('voltageKv', value !== undefined && value > 0 ? value : undefined)}
        />{' '}
        kV for{' '}
        <NumberField
          label="Minutes at that voltage"
          shown={asSet(planned.dwellMin.value)}
          onNumber={(value) => set('dwellMin', value !== undefined && value > 0 ? value : undefined)}
        />{' '}
        minutes, the cable at{' '}
        <NumberField
          label={`Temperature of the insulation, ${temperatureUnit(units)}`}
          shown={temperature(planned.tempC.value, units)}
          onNumber={(value) => set('tempC', value === undefined ? undefined : celsius(value, units))}
        />{' '}
        {temperatureUnit(units)}.
      </p>
      <p className="caption">
        Voltage: {planned.voltageKv.known ? planned.voltageKv.from : planned.voltageKv.because}. Minutes:{' '}
        {planned.dwellMin.from}. Temperature: {planned.tempC.from}.
      </p>
    </div>
  );
}

interface FieldProps {
  readonly label: string;
  readonly shown: string;
  readonly onNumber: (value: number | undefined) => void;
}

/** A number of the sentence; Enter leaves it, leaving it takes it, an empty field gives it back to the record. */
function NumberField({ label, shown, onNumber }: FieldProps) {
  const [typed, setTyped] = useState<string | null>(null);
  const take = (): void => {
    if (typed === null) return;
    const value = Number(typed.replace('\u2212', '-'));
    if (typed.trim() === '') onNumber(undefined);
    else if (Number.isFinite(value)) onNumber(value);
    setTyped(null);
  };
  return (
    <input
      className="term"
      aria-label={label}
      inputMode="decimal"
      autoComplete="off"
      style={{ width: '6ch' }}
      value={typed ?? shown}
      onChange={(event) => setTyped(event.target.value)}
      onBlur={take}
      onKeyDown={(event) => {
        if (event.key === 'Enter') event.currentTarget.blur();
        if (event.key === 'Escape') setTyped(null);
      }}
    />
  );
}
