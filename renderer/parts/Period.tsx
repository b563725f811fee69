import { periodFault } from '../words/dates.ts';
import { DayField } from './Day.tsx';

export interface PeriodDays {
  readonly from: string;
  readonly to: string;
}

interface Props {
  readonly period: PeriodDays;
  readonly onPeriod: (period: PeriodDays) => void;
}

/** A period as two days in a sentence; it holds once both are days in order. */
export function Period({ period, onPeriod }: Props) {
  return (
    <span className="second">
      from{' '}
      <DayField
        label="First day"
        day={period.from}
        against={(from) => periodFault(from, period.to)}
        onDay={(from) => onPeriod({ ...period, from })}
      />{' '}
      to{' '}
      <DayField
        label="Last day"
        day={period.to}
        against={(to) => periodFault(period.from, to)}
        onDay={(to) => onPeriod({ ...period, to })}
      />
    </span>
  );
}
