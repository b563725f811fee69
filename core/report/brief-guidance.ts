import type { Brief } from '../contract/shapes/retest.ts';
import { grey, heading, line, shortSource } from './brief-look.ts';
import { type PdfNode, pdfInk } from './pdf.ts';
import { measured } from './quantities.ts';

/** 'UFGS 16302N: new PILC cable, times 0.75' of a table's full name. */
const shortTable = (table: string): string => table.replace(/, [^:]*:/, ':').replace(/ \(.*\)$/, '');

/** What the tables allow, how to bring it up, and the cautions of that voltage; or why there is none. */
export function voltageSays(brief: Brief): PdfNode[] {
  const { voltage } = brief;
  if (!voltage.advised) {
    const entered = brief.planned.voltageKv.known
      ? [
          line(
            `${brief.planned.voltageKv.value} kV was entered for this sheet. Named in its stead: ${brief.alternatives.map((one) => `${one.name} (${one.standard})${one.peakKv === null ? '' : ` ${one.peakKv} kV peak`}`).join('; ')}.`,
            { color: pdfInk.rust },
          ),
        ]
      : [];
    return [heading('Direct voltage: none advised'), ...entered, ...cautions(brief)];
  }
  const duration = voltage.duration.known ? `${voltage.duration.minutes} min` : voltage.duration.because;
  return [
    heading('Voltage and ramp'),
    line([
      { text: `${voltage.voltageKv} kV DC at most, ${duration}: `, bold: true },
      shortTable(voltage.table),
      grey(voltage.source),
      ...(voltage.duration.known && voltage.duration.source !== voltage.source
        ? [grey(`${voltage.duration.minutes} min: ${voltage.duration.source}`)]
        : []),
    ]),
    ...voltage.otherTables.map((other) =>
      line([`${other.voltageKv} kV: ${shortTable(other.table)}`, grey(other.source)]),
    ),
    line([brief.ramp.says, grey(brief.ramp.source)]),
    line(`Also accepted: ${brief.alternatives.map((one) => `${one.name} (${one.standard})`).join(', ')}.`),
    ...cautions(brief),
  ];
}

/** When to stop, first things first. */
export const stopSays = (brief: Brief): PdfNode[] => [
  heading('Stop'),
  ...brief.stop.map((one) => line(one.says)),
  sources(brief.stop),
];

/** The sources of several lines in one, each named once. */
const sources = (lines: readonly { readonly source: string }[]): PdfNode =>
  line(
    `Sources: ${[...new Set(lines.map((one) => shortSource(one.source)))].filter((word) => word !== '').join('; ')}.`,
    { color: pdfInk.ink2, fontSize: 6.6 },
  );

/** Earthing time and stored energy. */
export function afterwards(brief: Brief): PdfNode[] {
  const energy = brief.energy.known
    ? `Up to ${measured(brief.energy.energyJ)} J a phase stored at ${brief.energy.voltageKv} kV (½CV²; ${Math.round(brief.energy.capacitanceNf)} nF from the dimensions, ${Math.round(brief.energy.highNf)} at most).`
    : `Stored energy not computed: ${brief.energy.because}.`;
  return [
    heading('Afterwards'),
    line([{ text: brief.earthing.says, bold: true }, grey(brief.earthing.source)]),
    line(
      `${energy} Voltage to zero; resistive stick, direct earth only below about 1 kV; solid earth before touching; wait; over about 20 V returned: earth again and wait longer; earth again in any case.`,
    ),
  ];
}

/** What to have and to do before the voltage goes on. */
export const before = (brief: Brief): PdfNode[] => [
  heading('Before'),
  ...brief.checklist.map((one) => line([{ text: `☐ ${one.item}. `, bold: true }, one.says])),
  sources(brief.checklist),
];

const cautions = (brief: Brief): PdfNode[] =>
  brief.cautions.map((one) => line([one.says, grey(one.source)], { color: pdfInk.rust }));
