import type { PeriodDays } from '../../parts/Period.tsx';

/** The period that the evidence begins with: this year to date and the two before. */
export const firstPeriod = (today: string): PeriodDays => ({
  from: `${Number(today.slice(0, 4)) - 2}-01-01`,
  to: today,
});
