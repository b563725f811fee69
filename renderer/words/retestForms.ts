import type { InputOf } from '../../core/contract/asks/index.ts';
import { asSet, list, measured, nb } from './numbers.ts';

/** Sentences of the forms and lists of Retests. */

export const workAbout = 'Readings before that day and after it are never compared as if nothing had happened.';

export const workRecorded = (name: string, on: string): string => `Recorded; a new era of ${name} begins on ${on}.`;

export const testCorrected = (on: string): string => `The test of ${on} is corrected; both stay.`;

export const testRecorded = (name: string): string => `The test of ${name} is recorded.`;

const unitWords = { nA: 'nA', uA: 'µA', mA: 'mA' } as const;

/** What was recorded a moment ago, while the sheet is still of before it: the highest step of each phase. */
export function recordedWords(
  on: string,
  readings: InputOf<'retest.record'>['readings'],
  corrected: string | null,
): string {
  const last = [...new Map(readings.map((reading) => [reading.phase, reading])).values()];
  const voltages = [...new Set(last.map(({ voltageKv }) => `${asSet(voltageKv)}${nb}kV`))];
  const read = last.map(({ phase, voltageKv, leakage, leakageUnit, belowFloor, outcome }) => {
    const current = `${belowFloor ? 'under ' : ''}${asSet(leakage)}${nb}${unitWords[leakageUnit]}`;
    const at = voltages.length === 1 ? '' : ` at ${asSet(voltageKv)}${nb}kV`;
    return `${phase} ${current}${at}${outcome === 'withstood' ? '' : ` (${outcome})`}`;
  });
  const what = corrected === null ? 'Recorded' : `Corrected, in place of the test of ${corrected}`;
  return `${what}: the test of ${on}${voltages.length === 1 ? ` at ${voltages[0]!}` : ''}: ${list(read)}. Growth and the reading to expect are being counted with it; until they are, the sheet below is as of before it.`;
}

export const failureAbout =
  'The test is recorded. What failed is a record of its own, and the repair after it another; leave them for later if they are not known yet.';

export const failureRecorded = (name: string): string => `The failure of ${name} is recorded.`;

export const ruleAbout =
  'Months between tests, by the first line that fits a segment and its last test. An empty field asks for nothing. Earlier versions keep counting for their time; which test it is, the rule does not say.';

export const ruleSet = (from: string): string => `The rule is set, in force from ${from}.`;

export const ruleTakenBack = 'Taken back: the rule stands as before. The ledger keeps both.';

export const limitsAbout =
  'Above its limit a segment is not kept in service: ranking, forecast, plan and the rule on retests count by it. No published limit exists; where none is set, our default stands.';

export const limitsTakenBack = 'Taken back. The ledger keeps both.';

export const plainNumberFault = (typed: string): string =>
  `‘${typed}’ is not a plain number with a point before its decimals.`;

export const othersFault = 'All others: months are a whole number from 1 to 600.';

export const daysFault = 'Early and on time are whole days, from 0 to 3,660.';

export const cubicleHelp =
  'Type a reading in µA; Enter leaves the field. Nothing is recorded before ‘Record this test’, which begins with these.';

export const dueWaiting = 'Counting from every last test…';

export const roundWritten = 'The briefs of the round are written, a page each.';

export const dueCsvWritten = 'The list is written as CSV.';

export const calendarWritten = 'The tests of the coming year are written as a calendar.';

export const ruleFaults = {
  months: (at: string): string => `${at}months are a whole number from 1 to 600.`,
  kv: (at: string): string => `${at}the voltage class is a number of kV, such as 15.`,
  apart: (at: string): string => `${at}phases apart is a ratio of 1 or more, such as 3.`,
  level: (at: string): string => `${at}the level is a share of the limit from 1 to 1,000 %.`,
  growth: (at: string): string => `${at}growth is a number of % a year, such as 5.`,
} as const;

/** Beside the verdict on a reading, which only says how it lies to what was expected. */
export const aboveLimitWords = (limitUa: number): string => `above the limit of a phase, ${measured(limitUa)} µA`;
