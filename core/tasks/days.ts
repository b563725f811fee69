const dayMs = 86_400_000;
const days = new Map<string, number>();

/** Days since 1970-01-01 of an ISO 8601 day. The same few thousand days recur, so they are remembered. */
export function dayOf(iso: string): number {
  let day = days.get(iso);
  if (day === undefined) {
    day = Math.round(Date.parse(`${iso}T00:00:00Z`) / dayMs);
    if (days.size > 100_000) days.clear();
    days.set(iso, day);
  }
  return day;
}

/** The ISO 8601 day of a number of days since 1970-01-01. */
export const isoOf = (day: number): string => new Date(day * dayMs).toISOString().slice(0, 10);

/** Gregorian year of a number of whole days since 1970-01-01, by the lengths of its cycles alone: for long loops. */
export function calendarYear(day: number): number {
  // Counted from 1 March of the year 0, so that leap days end their year.
  const days = Math.floor(day) + 719_468;
  const cycle = Math.floor(days / 146_097);
  const inCycle = days - cycle * 146_097;
  const year = Math.floor(
    (inCycle - Math.floor(inCycle / 1460) + Math.floor(inCycle / 36_524) - Math.floor(inCycle / 146_096)) / 365,
  );
  const inYear = inCycle - (365 * year + Math.floor(year / 4) - Math.floor(year / 100));
  // January and February belong to the year after: they are the last 59 or 60 days.
  return cycle * 400 + year + (inYear >= 306 ? 1 : 0);
}

/** Calendar year with fraction: 2026.25 on 2 April 2026. */
export function yearOf(day: number): number {
  const year = new Date(day * dayMs).getUTCFullYear();
  const start = Date.UTC(year, 0, 1) / dayMs;
  const end = Date.UTC(year + 1, 0, 1) / dayMs;
  return year + (day - start) / (end - start);
}

/** The day of a calendar year with fraction. */
export const dayOfYear = (year: number): number => {
  const whole = Math.floor(year);
  const start = Date.UTC(whole, 0, 1) / dayMs;
  const end = Date.UTC(whole + 1, 0, 1) / dayMs;
  return start + (year - whole) * (end - start);
};

/** Years from one ISO day to another; negative where the second is earlier. */
export const yearsApart = (from: string, to: string): number => (dayOf(to) - dayOf(from)) / 365.25;
