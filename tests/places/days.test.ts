import { describe, expect, test } from 'vitest';
import { dayFault, earlierFault, isDay, periodFault } from '../../renderer/words/dates.ts';

describe('a day as it is typed', () => {
  // The Gregorian calendar: 2024 and 2000 are leap years, 1900 and 2026 are not.
  test.each(['2024-02-29', '2000-02-29', '2026-12-31', '0999-01-01'])('%s is a day', (text) => {
    expect(isDay(text)).toBe(true);
    expect(dayFault(text)).toBeNull();
  });

  test.each(['2026-02-29', '1900-02-29', '2026-04-31', '2026-13-01', '2026-00-10', '2026-01-00'])(
    '%s is none, and is said to be none',
    (text) => {
      expect(isDay(text)).toBe(false);
      expect(dayFault(text)).toBe(`${text} is not a day of the calendar.`);
    },
  );

  test.each(['31.1.2026', '2026-1-31', '2026-01', 'tomorrow'])('%s is told how a day is written', (text) => {
    expect(dayFault(text)).toBe('Write the day as year, month, day: 2026-01-31.');
  });

  test('an empty field is wrong only where a day is needed', () => {
    expect(dayFault('')).toMatch(/^A day is needed/);
    expect(dayFault('', true)).toBeNull();
  });

  test('days out of order are told so', () => {
    expect(periodFault('2026-02-01', '2026-01-31')).toBe('The first day lies after the last.');
    expect(periodFault('2026-01-31', '2026-01-31')).toBeNull();
    expect(earlierFault('2026-01-31', '2026-01-31')).toBe('It must lie before 2026-01-31.');
    expect(earlierFault('2026-01-30', '2026-01-31')).toBeNull();
  });
});
