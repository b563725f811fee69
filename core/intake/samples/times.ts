/** Times as testers write them, to seconds. */

export interface Moment {
  /** Days since 1970-01-01 where the cell has a date; null where it has a time of day or a duration only. */
  readonly day: number | null;
  readonly secondOfDay: number;
}

const clock = /^(-?\d{1,3}):(\d{1,2})(?::(\d{1,2}(?:[.,:]\d{1,7})?))?\s*([ap])?\.?m?\.?$/i;
const dateFirst = /^(\d{4}[-/.]\d{1,2}[-/.]\d{1,2}|\d{1,2}[-/.]\d{1,2}[-/.]\d{2,4})(?:[T\s,;_]+|$)(.*)$/i;

/** '00:01:05.2', '1:05' (minutes and seconds where `shortIsMinutes`), '2024-05-03 10:22:31.4', '03.05.2024 10:22'. */
export const momentOf = (cell: string, shortIsMinutes: boolean): Moment | null => {
  if (cell.length > 40 || !/^-?\d/.test(cell)) return null;
  const dated = dateFirst.exec(cell);
  if (dated) {
    const date = dateOf(dated[1]!);
    if (date === null) return null;
    const rest = dated[2]!.replace(/(?:Z|[+-]\d{2}:?\d{2})$/i, '').trim();
    const day = Date.UTC(date.year, date.month - 1, date.day) / 86_400_000;
    if (rest === '') return { day, secondOfDay: 0 };
    const second = secondOf(rest, false);
    return second === null ? null : { day, secondOfDay: second };
  }
  const second = secondOf(cell, shortIsMinutes);
  return second === null ? null : { day: null, secondOfDay: second };
};

const secondOf = (text: string, shortIsMinutes: boolean): number | null => {
  const match = clock.exec(text);
  if (!match) return null;
  const [, first, second, third, half] = match;
  const seconds = third === undefined ? 0 : Number(third.replace(/[,:]/, '.'));
  if (third === undefined && shortIsMinutes) return Number(first) * 60 + Number(second);
  if (Number(second) > 59 || seconds >= 61) return null;
  let hours = Number(first);
  if (half) hours = (hours % 12) + (/p/i.test(half) ? 12 : 0);
  return hours * 3600 + Number(second) * 60 + seconds;
};

export interface CalendarDate {
  readonly year: number;
  readonly month: number;
  readonly day: number;
  /** True where day and month could be the other way round. */
  readonly ambiguous: boolean;
}

const months = ['jan', 'feb', 'mar', 'apr', 'may', 'jun', 'jul', 'aug', 'sep', 'oct', 'nov', 'dec'];

/** A calendar date in any usual order; points mean day first. Null where it is none. */
export const dateOf = (text: string): CalendarDate | null => {
  const iso =
    /(?:^|[^\d])(\d{4})[-/.]?(\d{2})[-/.]?(\d{2})(?!\d)/.exec(text) ??
    /^(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?!\d)/.exec(text);
  if (iso) return checked(Number(iso[1]), Number(iso[2]), Number(iso[3]), false);
  const worded =
    /(\d{1,2})[ .-]*([a-z]{3})[a-z]*[ .,-]*(\d{4})/i.exec(text) ??
    /([a-z]{3})[a-z]*[ .-]*(\d{1,2})(?:st|nd|rd|th)?[ ,.-]+(\d{4})/i.exec(text);
  if (worded) {
    const dayFirst = /^\d/.test(worded[1]!);
    const month = months.indexOf((dayFirst ? worded[2]! : worded[1]!).toLowerCase()) + 1;
    if (month > 0) return checked(Number(worded[3]), month, Number(dayFirst ? worded[1] : worded[2]), false);
  }
  const parts = /(?:^|[^\d])(\d{1,2})([-/.])(\d{1,2})\2(\d{4}|\d{2})(?!\d)/.exec(text);
  if (!parts) return null;
  const first = Number(parts[1]);
  const second = Number(parts[3]);
  const year = Number(parts[4]) + (parts[4]!.length === 2 ? 2000 : 0);
  if (parts[2] === '.' || first > 12) return checked(year, second, first, false);
  return checked(year, first, second, second <= 12 && first !== second);
};

const checked = (year: number, month: number, day: number, ambiguous: boolean): CalendarDate | null => {
  if (year < 1950 || year > 2100 || month < 1 || month > 12 || day < 1) return null;
  const last = new Date(Date.UTC(year, month, 0)).getUTCDate();
  return day <= last ? { year, month, day, ambiguous } : null;
};

export const isoDate = (date: CalendarDate): string =>
  `${date.year}-${String(date.month).padStart(2, '0')}-${String(date.day).padStart(2, '0')}`;
