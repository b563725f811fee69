import { type InputHTMLAttributes, type Ref, useId, useState } from 'react';
import { dayFault } from '../words/dates.ts';
import './day.css';

/** Days are typed as text, 2026-03-09, as they stand everywhere; the browser's own field would write them by its locale. */
const typedDay = { maxLength: 10, spellCheck: false, autoComplete: 'off' } as const;

interface InputProps extends Omit<InputHTMLAttributes<HTMLInputElement>, 'onChange' | 'value'> {
  readonly value: string;
  readonly onValue: (value: string) => void;
  /** An empty field is an answer too. */
  readonly optional?: boolean;
  readonly ref?: Ref<HTMLInputElement>;
}

/** The field of a day in a form; what is wrong with it stands under it once it was left or is complete. */
export function DayInput({ value, onValue, optional = false, ...input }: InputProps) {
  const saysId = useId();
  const [left, setLeft] = useState(false);
  const fault = left || value.length >= typedDay.maxLength ? dayFault(value, optional) : null;
  return (
    <span className="day-line">
      <input
        className="field"
        {...typedDay}
        {...input}
        aria-invalid={fault !== null}
        aria-describedby={[input['aria-describedby'], saysId].filter(Boolean).join(' ')}
        value={value}
        onChange={(event) => onValue(event.target.value.trim())}
        onBlur={() => setLeft(true)}
      />
      <span id={saysId} className="day-fault" aria-live="polite">
        {fault}
      </span>
    </span>
  );
}

interface LineProps {
  readonly label: string;
  readonly value: string;
  readonly onValue: (value: string) => void;
  readonly optional?: boolean;
  readonly placeholder?: string;
}

/** A line of a form with a day: its label, and the field beside it. */
export function DayLine({ label, ...input }: LineProps) {
  const id = useId();
  return (
    <>
      <label htmlFor={id}>{label}</label>
      <DayInput id={id} {...input} />
    </>
  );
}

interface FieldProps {
  readonly label: string;
  readonly day: string;
  readonly onDay: (day: string) => void;
  /** Why a day of the calendar cannot be meant all the same. */
  readonly against?: (day: string) => string | null;
}

/** A day within a sentence: it holds once it is one; until then the sentence says what is wrong. */
export function DayField({ label, day, onDay, against = () => null }: FieldProps) {
  const [text, setText] = useState(day);
  const saysId = useId();
  const faultOf = (typed: string): string | null => dayFault(typed) ?? against(typed);
  const fault = text.length >= typedDay.maxLength ? faultOf(text) : null;
  return (
    <>
      <input
        className="day-field"
        aria-label={`${label}, as 2026-03-09`}
        aria-invalid={faultOf(text) !== null}
        aria-describedby={saysId}
        {...typedDay}
        value={text}
        onChange={(event) => {
          const typed = event.target.value.trim();
          setText(typed);
          if (faultOf(typed) === null) onDay(typed);
        }}
        onBlur={() => setText(day)}
      />
      <span id={saysId} className="day-fault" aria-live="polite">
        {fault !== null && ` ${fault}`}
      </span>
    </>
  );
}
