import { expect, test } from 'vitest';
import { calendarYear } from '../../core/tasks/days.ts';

test('the calendar year of every day of 1600 to 2500 is the one ECMAScript’s Date gives', () => {
  const first = Date.UTC(1600, 0, 1) / 86_400_000;
  const last = Date.UTC(2500, 11, 31) / 86_400_000;
  const wrong: number[] = [];
  for (let day = first; day <= last; day++)
    if (calendarYear(day) !== new Date(day * 86_400_000).getUTCFullYear()) wrong.push(day);
  expect(wrong).toEqual([]);
  expect(calendarYear(last + 0.99)).toBe(2500);
});
