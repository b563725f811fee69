import type { SegmentPage } from '../contract/asks/segment.ts';
import type { Brief } from '../contract/shapes/retest.ts';
import { counted } from '../report/counted.ts';
import { threeFigures } from '../report/quantities.ts';

const metal: Readonly<Record<string, string>> = { Cu: 'copper', Al: 'aluminium' };

export const conductorWords = (page: SegmentPage): string =>
  [
    page.conductorMaterial === null ? '' : (metal[page.conductorMaterial] ?? page.conductorMaterial),
    page.conductorAreaMm2 === null ? '' : `${Number(page.conductorAreaMm2.toPrecision(4))} mm²`,
  ]
    .filter((word) => word !== '')
    .join(' ');

/** What the cable is, what may be applied, how it grows: as a person would say it. */
export function briefSentence(brief: Omit<Brief, 'sentence'>): string {
  return [cableSays(brief), growthSays(brief)].filter((words) => words !== '').join(' ');
}

function cableSays({ name, insulation, ageYears, retiredOn, on, voltage, planned }: Omit<Brief, 'sentence'>): string {
  const age =
    retiredOn !== null && retiredOn <= on
      ? `out of service since ${retiredOn}`
      : ageYears === null
        ? 'of unknown age'
        : ageYears <= 0
          ? 'not yet in service'
          : ageYears < 1
            ? 'in its first year of service'
            : `${Math.floor(ageYears)} ${ageYears < 2 ? 'year' : 'years'} in service`;
  if (!voltage.advised) return `${name}, ${insulation}, ${age}: no direct voltage is advised.`;
  const share = /, times ([\d.]+)/.exec(voltage.table)?.[1];
  // A share of a printed voltage is ours, not the table's: the sentence must not put it into the table's mouth.
  const derived = share === undefined ? '' : ` for new cable, times ${share},`;
  const most = `${voltage.table.split(/[,:]/)[0]}${derived} gives ${voltage.voltageKv} kV DC at most`;
  if (!planned.voltageKv.known || planned.voltageKv.value === voltage.voltageKv)
    return `${name}, ${insulation}, ${age}: ${most}.`;
  return `${name}, ${insulation}, ${age}: test at ${planned.voltageKv.value} kV DC; ${most}.`;
}

/** One decimal with a true minus. */
const signed = (value: number): string => value.toFixed(1).replace('-', '−');

function growthSays({ standing, tests }: Omit<Brief, 'sentence'>): string {
  const last = tests[0];
  if (!last) return 'It has never been tested.';
  const tested = `Its last test, ${last.testedOn}: ${last.says}.`;
  if (!standing.known) return tested;
  const { value, lo, hi } = standing.growthPctPerYr;
  return `Its leakage ${value < 0 ? 'falls' : 'grows'} by ${Math.abs(value).toFixed(1)}\u00a0% a year (90\u00a0%: ${signed(lo)} to ${signed(hi)}), rank ${counted(standing.rank)} of ${counted(standing.rankedSegments)}. ${tested}`;
}

/** What the interval holds, and what it does not. */
export function expectedSays(planned: Brief['planned'], on: string, asOf: string): string {
  const guess =
    planned.tempSdC > 0 ? ` Temperature guessed (± ${planned.tempSdC.toFixed(1)} °C), so the interval is wider.` : '';
  const ahead = on > asOf ? ` For ${on}, from readings up to ${asOf}.` : '';
  return `9 in 10 readings of a cable in ordinary ageing lie inside; damage since the last test is not foreseen.${guess}${ahead}`;
}

/** The brief as lines of text, for a terminal: what to expect and what to mind; sheet and window hold the rest. */
export function briefLines(brief: Brief): string[] {
  const { planned, voltage } = brief;
  const lines = [
    brief.sentence,
    `Due: ${brief.due.known ? `${brief.due.dueOn}, ${brief.due.state}, by ${brief.due.rule}` : brief.due.because}.`,
    voltage.advised
      ? `At most ${voltage.voltageKv} kV DC: ${voltage.table}. ${voltage.source}`
      : `No direct voltage is advised: ${voltage.because}. Named instead: ${brief.alternatives.map((one) => `${one.name} (${one.standard})${one.peakKv === null ? '' : ` ${one.peakKv} kV peak`}`).join(', ')}.`,
  ];
  if (planned.voltageKv.known)
    lines.push(
      `Expect at ${planned.voltageKv.value} kV (${planned.voltageKv.from}), ${planned.dwellMin.value} min, ${planned.tempC.value} °C (${planned.tempC.from}):`,
      ...brief.expected.map(({ phase, reading }) =>
        reading.known
          ? `  ${phase}  ${threeFigures(reading.ua.value)} µA, 9 in 10 from ${threeFigures(reading.ua.lo)} to ${threeFigures(reading.ua.hi)} µA; far above over ${threeFigures(reading.farUa)} µA${reading.limitUa === null ? '' : `; limit of one phase ${threeFigures(reading.limitUa)} µA`}`
          : `  ${phase}  ${reading.because}`,
      ),
      brief.expectedSays,
      ...brief.foreseen,
    );
  return [
    ...lines,
    `Stop: ${brief.stop.map((one) => one.says).join(' ')}`,
    `Before: ${brief.checklist.map((one) => one.says).join(' ')}`,
    ...(brief.planned.voltageKv.known ? [`Ramp: ${brief.ramp.says}`] : []),
    `Afterwards: ${brief.earthing.says} ${brief.discharge.map((one) => one.says).join(' ')}`,
    ...brief.tests
      .slice(0, 3)
      .map(
        (test) =>
          `  ${test.testedOn}  ${test.voltageKv} kV, ${test.dwellMin} min: A ${test.a ?? '–'}, B ${test.b ?? '–'}, C ${test.c ?? '–'} µA; ${test.says}`,
      ),
    `Cautions: ${brief.cautions.map((one) => one.says).join(' ')}`,
    brief.footer,
    '',
  ];
}
