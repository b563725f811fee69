const months = [
  'January',
  'February',
  'March',
  'April',
  'May',
  'June',
  'July',
  'August',
  'September',
  'October',
  'November',
  'December',
] as const;

/** Calendar year of an ISO day. */
export const yearOf = (day: string): number => Number(day.slice(0, 4));

/** 'June 1984'. */
export const monthYear = (day: string): string => `${months[Number(day.slice(5, 7)) - 1] ?? ''} ${day.slice(0, 4)}`;

/** '14 May 2025'. */
export const dayWords = (day: string): string => `${Number(day.slice(8, 10))} ${monthYear(day)}`;

/** Whole years from one ISO day to another. */
export const yearsBetween = (from: string, to: string): number =>
  (Date.parse(to) - Date.parse(from)) / (365.25 * 86_400_000);

/** '40 s', '3 min', '1 h 5 min': how long work took or will take. */
export function duration(seconds: number): string {
  if (seconds < 10) return `${Math.max(0.1, Math.round(seconds * 10) / 10)}\u00a0s`;
  if (seconds < 90) return `${Math.round(seconds)}\u00a0s`;
  if (seconds < 5400) return `${Math.round(seconds / 60)}\u00a0min`;
  return `${Math.floor(seconds / 3600)}\u00a0h ${Math.round((seconds % 3600) / 60)}\u00a0min`;
}

/** A day of the calendar as it is written everywhere: '2026-01-31'. */
export function isDay(text: string): boolean {
  if (!/^\d{4}-\d{2}-\d{2}$/.test(text)) return false;
  const time = Date.parse(`${text}T00:00:00Z`);
  return !Number.isNaN(time) && new Date(time).toISOString().startsWith(text);
}

/** What is wrong with a day as it was typed; null where nothing is. */
export function dayFault(text: string, optional = false): string | null {
  if (text === '') return optional ? null : 'A day is needed, such as 2026-01-31.';
  if (isDay(text)) return null;
  return /^\d{4}-\d{2}-\d{2}$/.test(text)
    ? `${text} is not a day of the calendar.`
    : 'Write the day as year, month, day: 2026-01-31.';
}

/** Why a period cannot begin on a day, or end on it. */
export const periodFault = (from: string, to: string): string | null =>
  from <= to ? null : 'The first day lies after the last.';

/** Why a day cannot be compared with today. */
export const earlierFault = (day: string, than: string): string | null =>
  day < than ? null : `It must lie before ${than}.`;
