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
