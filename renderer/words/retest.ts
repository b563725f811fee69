import type { z } from 'zod';
import type { Brief, DueRow, Expectation, JudgedPhase as JudgedShape } from '../../core/contract/shapes/retest.ts';
import { monthYear } from './dates.ts';
import { inWords } from './labels.ts';
import { asSet, fixed, measured, nb, percent, whole } from './numbers.ts';
import { lengthWords, type UnitSystem } from './units.ts';

export type Judged = z.infer<typeof JudgedShape>;
export type { Brief, DueRow, Expectation };

/** How long until a test is due, or since. */
export function daysWords(row: DueRow): string {
  if (row.daysLeft === 0) return 'today';
  const days = Math.abs(row.daysLeft);
  const span =
    days < 90
      ? `${whole(days)}${nb}d`
      : days < 730
        ? `${whole(days / 30.44)}${nb}months`
        : `${fixed(days / 365.25, 1)}${nb}years`;
  return row.daysLeft < 0 ? `${span} over` : `in ${span}`;
}

/** The line under the brief's name. */
export function briefWhere(brief: Brief, units: UnitSystem): string {
  const parts = [
    `${brief.substation}${brief.area === null ? '' : `, ${brief.area}`}`,
    `feeder ${brief.feeder}`,
    lengthWords(brief.lengthM, units),
    ...(brief.ratedKv === null
      ? ['rated voltage unknown']
      : [
          `${asSet(brief.ratedKv)}${nb}kV${brief.insulationLevelPct === null ? '' : `, ${asSet(brief.insulationLevelPct)}${nb}%`}`,
        ]),
    [brief.insulation, brief.conductor].filter((word) => word !== '').join(', '),
    ...(brief.installation === null ? [] : [inWords(brief.installation)]),
    ...(brief.energisedOn === null ? ['age unknown'] : [`in service since ${monthYear(brief.energisedOn)}`]),
  ];
  return parts.join(' · ');
}

/** How a reading lies among those to be expected: nothing is higher than all of them. */
export const placeWords = (placePct: number): string =>
  placePct > 99
    ? `among the highest ${percent(1, 0)} of such readings`
    : placePct < 1
      ? `among the lowest ${percent(1, 0)} of such readings`
      : `higher than ${percent(placePct, 0)} of such readings`;

/** A current, µA, for the largest figures of the sheet. */
export const microamps = (ua: number): string => measured(ua);

/** '18.2 to 33.0' */
export const span90 = (interval: { lo: number; hi: number }): string =>
  `${measured(interval.lo)} to ${measured(interval.hi)}`;

/** The table of voltages and the source of the minutes are often two. */
const minutesFrom = ({ source, duration }: Extract<Brief['voltage'], { advised: true }>): string => {
  if (!duration.known) return `. Minutes: ${duration.because}`;
  return duration.source === source ? '' : `. The ${asSet(duration.minutes)}${nb}min: ${duration.source}`;
};

/** The source without the document that the table's own name begins with already. */
const besidesTable = ({ table, source }: Extract<Brief['voltage'], { advised: true }>): string => {
  const document = `${table.split(': ')[0]}; `;
  return source.startsWith(document) ? source.slice(document.length) : source;
};

/** The highest voltage that a table allows, never one to reach for; or that none is advised. */
export function voltageWords(brief: Brief): { readonly apply: string; readonly about: string } {
  const { voltage } = brief;
  if (!voltage.advised) return { apply: 'No direct voltage', about: `is advised: ${voltage.because}.` };
  const minutes = voltage.duration.known ? ` for ${asSet(voltage.duration.minutes)}${nb}min` : '';
  return {
    apply: `At most ${asSet(voltage.voltageKv)}${nb}kV DC${minutes}`,
    about: `${voltage.table}. Source: ${besidesTable(voltage)}${minutesFrom(voltage)}.`,
  };
}
