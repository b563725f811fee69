import { useState } from 'react';
import './period.css';

export interface PeriodDays {
  readonly from: string;
  readonly to: string;
}

interface Props {
  readonly period: PeriodDays;
  readonly onPeriod: (period: PeriodDays) => void;
}

const isDay = (text: string): boolean => /^\d{4}-\d{2}-\d{2}$/.test(text) && !Number.isNaN(Date.parse(text));

/** A period as two days in a sentence; it holds once both are days in order. */
export function Period({ period, onPeriod }: Props) {
  return (
    <span className="second">
      from{' '}
      <DayField
        label="First day"
        day={period.from}
        onDay={(from) => from <= period.to && onPeriod({ ...period, from })}
      />{' '}
      to <DayField label="Last day" day={period.to} onDay={(to) => period.from <= to && onPeriod({ ...period, to })} />
    </span>
  );
}

interface DayFieldProps {
  readonly label: string;
  readonly day: string;
  readonly onDay: (day: string) => void;
}

/** A day as text, 2026-03-09, as everywhere else; the browser's own field would write it by its locale. */
export function DayField({ label, day, onDay }: DayFieldProps) {
  const [text, setText] = useState(day);
  const good = isDay(text);
  return (
    <input
      className="day-field"
      aria-label={`${label}, as 2026-03-09`}
      aria-invalid={!good}
      maxLength={10}
      spellCheck={false}
      value={text}
      onChange={(event) => {
        setText(event.target.value);
        if (isDay(event.target.value)) onDay(event.target.value);
      }}
      onBlur={() => setText(day)}
    />
  );
}
