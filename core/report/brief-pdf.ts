import type { Brief, Expectation } from '../contract/shapes/retest.ts';
import { cablePicture, phaseMark, spliceList, stripPicture } from './brief-drawing.ts';
import { afterwards, before, stopSays, voltageSays } from './brief-guidance.ts';
import { happened, tests, writeIn } from './brief-history.ts';
import { shortSource, small, type Units, unitsOf } from './brief-look.ts';
import { makePdf, type PdfNode, pdfInk } from './pdf.ts';
import { measured } from './quantities.ts';

export interface BriefPaper {
  readonly paper: 'A4' | 'LETTER';
  readonly units: 'metric' | 'us';
  readonly createdAt: string;
  readonly ledgerHead: string | null;
  readonly ledgerSeq: number | null;
}

const margin = 46;
/**
 * What a sheet gives up, one after the other, where a brief would run over its single page: height of the lines for a
 * pen, then these lines, then the oldest of its tests.
 */
const rooms = [
  { pen: 'wide', tests: 12 },
  { pen: 'narrow', tests: 12 },
  { pen: 'none', tests: 12 },
  { pen: 'none', tests: 10 },
  { pen: 'none', tests: 8 },
  { pen: 'none', tests: 6 },
] as const;
type Room = (typeof rooms)[number];
const widthOf = { A4: 595.28 - 2 * margin, LETTER: 612 - 2 * margin } as const;
/** Retest briefs, one sheet each: the reading to expect is the largest thing on it. */
export async function briefPdf(briefs: readonly Brief[], paper: BriefPaper): Promise<Uint8Array> {
  const roomy = await drawn(
    briefs,
    briefs.map(() => rooms[0]),
    paper,
  );
  if (pagesOf(roomy) <= briefs.length) return roomy;
  const fitting: Room[] = [];
  for (const brief of briefs) fitting.push(await roomOf(brief, paper));
  return drawn(briefs, fitting, paper);
}

/** The most room that keeps a brief on one page; each room is smaller than the one before, so halving finds it. */
async function roomOf(brief: Brief, paper: BriefPaper): Promise<Room> {
  let [first, last] = [0, rooms.length - 1];
  while (first < last) {
    const half = (first + last) >> 1;
    if (pagesOf(await drawn([brief], [rooms[half]!], paper)) === 1) last = half;
    else first = half + 1;
  }
  return rooms[last]!;
}

/** Page objects stand uncompressed in the file. */
const pagesOf = (pdf: Uint8Array): number =>
  Buffer.from(pdf)
    .toString('latin1')
    .match(/\/Type \/Page\b(?!s)/g)?.length ?? 0;

function drawn(briefs: readonly Brief[], room: readonly Room[], paper: BriefPaper): Promise<Uint8Array> {
  const units = unitsOf(paper.units);
  const width = widthOf[paper.paper];
  const title = briefs.length === 1 ? `Retest brief, ${briefs[0]!.name}` : `Retest briefs, ${briefs.length} segments`;
  return makePdf(
    {
      paper: paper.paper,
      margins: [margin, 22, margin, 56],
      content: briefs.map((brief, at) => sheet(brief, width, units, room[at]!, at > 0)),
    },
    {
      createdAt: paper.createdAt,
      title: `${title}, ${briefs[0]?.on ?? ''}`,
      footer: { ledgerHead: paper.ledgerHead, ledgerSeq: paper.ledgerSeq, caution: briefs[0]?.footer ?? '' },
    },
  );
}

function sheet(brief: Brief, width: number, units: Units, room: Room, again: boolean): PdfNode {
  // With no voltage there is little to say at the left; with one, a wider left side makes both equally long.
  const short = !brief.planned.voltageKv.known;
  return {
    ...(again ? { pageBreak: 'before' } : {}),
    stack: [
      head(brief, units),
      { text: brief.sentence, font: 'Serif', fontSize: 10, lineHeight: 1, margin: [0, 4, 0, 5] },
      rule(width, 0.9, pdfInk.ink2),
      figures(brief, units),
      rule(width, 0.9, pdfInk.ink2),
      {
        columns: [
          { width: '*', stack: [...stopSays(brief), ...voltageSays(brief), ...(short ? afterwards(brief) : [])] },
          { width: short ? '52%' : '45%', stack: [...before(brief), ...(short ? [] : afterwards(brief))] },
        ],
        columnGap: 14,
        margin: [0, 2, 0, 4],
      },
      { svg: cablePicture(brief, width, units.length), width },
      { text: splicesSaid(brief, units), ...small, color: pdfInk.ink2, margin: [0, 0, 0, 2] },
      { svg: stripPicture(brief.strip, width), width, margin: [0, 2, 0, 2] },
      tests(brief, units, room.tests),
      happened(brief),
      ...(room.pen !== 'none' && !short ? [writeIn(brief, room.pen)] : []),
    ],
  };
}

function splicesSaid(brief: Brief, units: Units): string {
  const placed = spliceList(brief, units.length);
  const unplaced = brief.splices.filter((splice) => splice.positionM === null && !splice.removed).length;
  const rest = unplaced === 0 ? '' : `${placed.length === 0 ? '' : ' · '}${unplaced} with no place on record`;
  return placed.length + unplaced === 0 ? 'No splice on record.' : `Splices ${placed.join(' · ')}${rest}`;
}

const rule = (width: number, weight: number, ink: string): PdfNode => ({
  canvas: [{ type: 'line', x1: 0, y1: 0, x2: width, y2: 0, lineWidth: weight, lineColor: ink }],
});

function head(brief: Brief, units: Units): PdfNode {
  const facts = [
    brief.substation,
    brief.feeder,
    units.length(brief.lengthM),
    brief.ratedKv === null
      ? 'class not recorded'
      : `${brief.ratedKv} kV${brief.insulationLevelPct === null ? '' : `, ${brief.insulationLevelPct} %`}`,
    [brief.insulation, brief.conductor].filter((word) => word !== '').join(', '),
    brief.phases === 'ABC' ? '' : `phase ${brief.phases}`,
    brief.installation === null ? '' : brief.installation.replaceAll('_', ' '),
    brief.energisedOn === null ? 'first day in service unknown' : `in service since ${brief.energisedOn.slice(0, 7)}`,
    brief.customers === null ? '' : `${brief.customers} customers`,
    brief.criticalLoad ? 'critical load' : '',
  ];
  const due = brief.due.known ? `due ${brief.due.dueOn}${brief.due.state === 'overdue' ? ', overdue' : ''}` : '';
  return {
    columns: [
      {
        width: '*',
        stack: [
          { text: brief.name, font: 'Serif', fontSize: 19, bold: true, lineHeight: 0.9 },
          { text: facts.filter((fact) => fact !== '').join(' · '), ...small, color: pdfInk.ink2, margin: [0, 1, 0, 0] },
        ],
      },
      {
        width: 150,
        alignment: 'right',
        stack: [
          { text: `Retest brief for ${brief.on}`, font: 'Serif', fontSize: 11, color: pdfInk.petrol, lineHeight: 1 },
          {
            text: [due, brief.area ?? '', brief.ownerId].filter((word) => word !== '').join(' · '),
            ...small,
            color: pdfInk.ink2,
          },
        ],
      },
    ],
    columnGap: 12,
  };
}

/** The largest thing on the sheet: what each phase should read, or that no direct voltage is advised. */
function figures(brief: Brief, units: Units): PdfNode {
  const { planned, expected } = brief;
  if (!planned.voltageKv.known) return noVoltage(brief);
  const unknown = expected.find(({ reading }) => !reading.known)?.reading;
  if (unknown && !unknown.known)
    return {
      stack: [
        { text: 'No reading can be foretold', font: 'Serif', fontSize: 18, bold: true },
        { text: `${unknown.because}. Conditions: ${conditions(brief, units)}.`, ...small },
      ],
      margin: [0, 4, 0, 4],
    };
  return {
    stack: [
      {
        text: [{ text: `Expect at ${conditions(brief, units)}`, bold: true }, `  (${planned.voltageKv.from})`],
        fontSize: 9,
        ...(brief.voltage.advised ? {} : { color: pdfInk.rust }),
      },
      { columns: expected.map(figureOf), columnGap: 10 },
      ...brief.foreseen.map((words) => ({ text: words, fontSize: 8.4, bold: true, color: pdfInk.rust, lineHeight: 1 })),
      { text: brief.expectedSays, ...small, color: pdfInk.ink2 },
    ],
    margin: [0, 4, 0, 4],
  };
}

function conditions({ planned }: Brief, units: Units): string {
  const kv = planned.voltageKv.known ? `${planned.voltageKv.value} kV DC` : 'no voltage';
  const guess = planned.tempSdC > 0 ? ' (season)' : '';
  return `${kv}, ${planned.dwellMin.value} min, ${units.temperature(planned.tempC.value)}${guess}`;
}

function figureOf({ phase, reading }: Expectation): PdfNode {
  if (!reading.known) return { text: reading.because };
  const { value, lo, hi } = reading.ua;
  const limit = reading.limitUa === null ? '' : `\nlimit of a phase ${measured(reading.limitUa)} µA`;
  return {
    width: '*',
    columns: [
      { svg: phaseMark(phase), width: 12, margin: [0, 14, 0, 0] },
      { text: phase, width: 'auto', fontSize: 12, margin: [0, 11, 0, 0] },
      { text: measured(value), width: 'auto', font: 'Serif', fontSize: 31, bold: true, lineHeight: 0.95 },
      {
        width: '*',
        stack: [
          { text: `${measured(lo)} to ${measured(hi)} µA`, fontSize: 9.5, bold: true, lineHeight: 1, noWrap: true },
          { text: `far above over ${measured(reading.farUa)} µA${limit}`, ...small },
        ],
        margin: [1, 5, 0, 0],
      },
    ],
    columnGap: 3,
  };
}

function noVoltage(brief: Brief): PdfNode {
  const because = brief.voltage.advised ? '' : `${brief.voltage.because}. `;
  const last =
    brief.lastVoltageKv === null
      ? ''
      : ` The history below was measured at up to ${brief.lastVoltageKv} kV; that is no advice to apply it again.`;
  return {
    stack: [
      {
        text: 'No direct voltage is advised',
        font: 'Serif',
        fontSize: 27,
        bold: true,
        color: pdfInk.rust,
        lineHeight: 0.95,
      },
      { text: `Because: ${because}${last}`, fontSize: 9, lineHeight: 1, margin: [0, 1, 0, 3] },
      {
        columns: brief.alternatives.map((one) => ({
          width: '*',
          stack: [
            {
              text: `${one.name}${one.peakKv === null ? '' : `, ${one.peakKv} kV peak`}`,
              fontSize: 9.5,
              bold: true,
              lineHeight: 1,
            },
            { text: `${one.standard}: ${one.says}. ${shortSource(one.source)}`, ...small, color: pdfInk.ink2 },
          ],
        })),
        columnGap: 10,
      },
    ],
    margin: [0, 4, 0, 4],
  };
}
