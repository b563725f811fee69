import type { Brief } from '../contract/shapes/retest.ts';
import { cell, headCell, line, small, type Units } from './brief-look.ts';
import { type PdfNode, pdfInk, ruledTable } from './pdf.ts';
import { measured } from './quantities.ts';

const eventsShown = 3;

/** The tests by phase, newest first, the last three in bold; those beyond the number shown are counted. */
export function tests(brief: Brief, units: Units, testsShown: number): PdfNode {
  if (brief.tests.length === 0) return { text: 'No test is on record.', ...small };
  const shown = brief.tests.slice(0, testsShown);
  const earlier = brief.tests.length - shown.length;
  const heads = [
    'Tested',
    'kV',
    'min',
    'insulation',
    'A, µA',
    'B, µA',
    'C, µA',
    'nS/km at 20 °C',
    'Instrument',
    'What it says',
  ];
  const left = new Set([0, 8, 9]);
  const rows = shown.map((test, at) => {
    const cells = [
      test.testedOn,
      test.voltageKv,
      test.dwellMin,
      test.tempC === null ? '–' : units.temperature(test.tempC),
      test.a ?? '–',
      test.b ?? '–',
      test.c ?? '–',
      test.nsPerKmAt20C === null ? '–' : measured(test.nsPerKmAt20C),
      `${test.instrument ?? '–'}${test.calibration === 'out of calibration' ? ', out of calibration' : ''}`,
      test.says,
    ];
    // The last three readings are what the lead looks at first.
    return cells.map((words, k) => ({
      ...cell(words, !left.has(k)),
      ...(k < cells.length - 2 ? { noWrap: true } : {}),
      ...(at < 3 ? { bold: true } : {}),
    }));
  });
  return {
    stack: [
      {
        layout: { ...ruledTable, paddingTop: () => 0.5, paddingBottom: () => 0.2 },
        table: {
          headerRows: 1,
          widths: ['auto', 'auto', 'auto', 'auto', 'auto', 'auto', 'auto', 'auto', 'auto', '*'],
          body: [heads.map((words, k) => headCell(words, !left.has(k))), ...rows],
        },
      },
      ...(earlier > 0
        ? [{ text: `${earlier} earlier tests stand on the segment’s page.`, ...small, color: pdfInk.ink2 }]
        : []),
    ],
  };
}

/** What was done to the cable and how it failed, newest first. */
export function happened(brief: Brief): PdfNode {
  const more = (count: number) => (count > eventsShown ? ` and ${count - eventsShown} earlier` : '');
  const done = brief.interventions
    .slice(0, eventsShown)
    .map((one) => `${one.doneOn} ${one.kind.replaceAll('_', ' ')}`)
    .join('; ');
  const failed = brief.failures
    .slice(0, eventsShown)
    .map((one) =>
      [
        one.failedOn,
        one.part ?? 'part unknown',
        one.phase === null ? '' : `phase ${one.phase}`,
        one.cause?.replaceAll('_', ' ') ?? '',
      ]
        .filter((word) => word !== '')
        .join(' '),
    )
    .join('; ');
  return line(
    [
      { text: 'Work done: ', bold: true },
      done === '' ? 'none on record' : `${done}${more(brief.interventions.length)}`,
      { text: '. Failures: ', bold: true },
      `${failed === '' ? 'none on record' : `${failed}${more(brief.failures.length)}`}.`,
    ],
    { margin: [0, 3, 0, 0] },
  );
}

/** Room for a pen: today’s readings, to be entered afterwards. */
export function writeIn(brief: Brief, lines: 'wide' | 'narrow'): PdfNode {
  const gap = lines === 'wide' ? 8 : 3;
  const dwell = brief.planned.dwellMin.value;
  const minutes = [1, 5, 10].filter((minute) => minute < dwell).concat(dwell);
  const heads = ['Today', 'kV', '30 s', ...minutes.map((minute) => `${minute} min`), 'residual V', 'outcome'];
  const phases = ['A', 'B', 'C'].filter((phase) => brief.phases.includes(phase));
  return {
    margin: [0, gap, 0, 0],
    stack: [
      {
        layout: { ...ruledTable, paddingTop: () => 2, paddingBottom: () => (lines === 'wide' ? 5 : 1) },
        table: {
          headerRows: 1,
          widths: heads.map(() => '*'),
          body: [
            heads.map((text) => headCell(text, false)),
            ...phases.map((phase) => heads.map((_, k) => cell(k === 0 ? `phase ${phase}, µA` : '', false))),
          ],
        },
      },
      line(
        'Insulation °C ________   air °C ________   humidity % ________   instrument ______________   earth on ________   earth off ________',
        { margin: [0, gap, 0, 0], color: pdfInk.ink2, preserveLeadingSpaces: true },
      ),
    ],
  };
}
