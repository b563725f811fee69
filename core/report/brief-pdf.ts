import type { Brief, Expectation } from '../contract/shapes/retest.ts';
import { cablePicture, phaseMark, spliceList, stripPicture } from './brief-drawing.ts';
import { makePdf, type PdfContent, type PdfNode, pdfInk, ruledTable } from './pdf.ts';

export interface BriefPaper {
  readonly paper: 'A4' | 'LETTER';
  readonly units: 'metric' | 'us';
  readonly createdAt: string;
  readonly ledgerHead: string | null;
  readonly ledgerSeq: number | null;
}

const margin = 46;
const widthOf = { A4: 595.28 - 2 * margin, LETTER: 612 - 2 * margin } as const;
/** Tests on the sheet; earlier ones are counted. */
const testsShown = 12;
const eventsShown = 3;
/** With no more tests than this there is room to write today’s readings on the sheet. */
const testsBesideWriting = 7;
const small = { fontSize: 7.4, lineHeight: 0.94 } as const;

/** A quantity at three figures, two below one. */
function measured(value: number): string {
  if (value >= 99.95) return Math.round(value).toLocaleString('en');
  if (value >= 9.995) return value.toFixed(1);
  if (value >= 0.9995) return value.toFixed(2);
  return String(Number(value.toPrecision(2)));
}

interface Units {
  readonly length: (metres: number) => string;
  readonly temperature: (celsius: number) => string;
}

const unitsOf = (system: BriefPaper['units']): Units =>
  system === 'us'
    ? {
        length: (m) => `${Math.round(m / 0.3048).toLocaleString('en')} ft`,
        temperature: (c) => `${Math.round(c * 1.8 + 32)} °F`,
      }
    : {
        length: (m) => (m < 2000 ? `${Math.round(m).toLocaleString('en')} m` : `${(m / 1000).toFixed(2)} km`),
        temperature: (c) => `${c.toFixed(1)} °C`,
      };

/** Retest briefs, one sheet each: the reading to expect is the largest thing on it. */
export function briefPdf(briefs: readonly Brief[], paper: BriefPaper): Promise<Uint8Array> {
  const units = unitsOf(paper.units);
  const width = widthOf[paper.paper];
  const title = briefs.length === 1 ? `Retest brief, ${briefs[0]!.name}` : `Retest briefs, ${briefs.length} segments`;
  return makePdf(
    {
      paper: paper.paper,
      margins: [margin, 22, margin, 64],
      content: briefs.map((brief, at) => sheet(brief, width, units, at > 0)),
    },
    {
      createdAt: paper.createdAt,
      title: `${title}, ${briefs[0]?.on ?? ''}`,
      footer: { ledgerHead: paper.ledgerHead, ledgerSeq: paper.ledgerSeq, caution: briefs[0]?.footer ?? '' },
    },
  );
}

function sheet(brief: Brief, width: number, units: Units, again: boolean): PdfNode {
  // With no voltage there is little to say at the left.
  const short = !brief.planned.voltageKv.known;
  return {
    ...(again ? { pageBreak: 'before' } : {}),
    stack: [
      head(brief, units),
      { text: brief.sentence, font: 'Serif', fontSize: 10.5, lineHeight: 1, margin: [0, 5, 0, 5] },
      rule(width, 0.9, pdfInk.ink2),
      figures(brief, units),
      rule(width, 0.9, pdfInk.ink2),
      {
        columns: [
          { width: '*', stack: [...stopSays(brief), ...voltageSays(brief), ...(short ? afterwards(brief) : [])] },
          { width: '*', stack: [...before(brief), ...(short ? [] : afterwards(brief))] },
        ],
        columnGap: 14,
        margin: [0, 2, 0, 4],
      },
      { svg: cablePicture(brief, width, units.length), width },
      { text: splicesSaid(brief, units), ...small, color: pdfInk.ink2, margin: [0, 0, 0, 2] },
      { svg: stripPicture(brief.strip, width), width, margin: [0, 2, 0, 2] },
      tests(brief, units),
      happened(brief),
      ...(brief.tests.length <= testsBesideWriting && !short ? [writeIn(brief)] : []),
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
  const limit = reading.limitUa === null ? '' : `\nlimit ${measured(reading.limitUa)} µA`;
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
          { text: `far above over ${measured(reading.farUa)}${limit}`, ...small },
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

const heading = (text: string): PdfNode => ({
  text,
  font: 'Serif',
  fontSize: 10.5,
  bold: true,
  lineHeight: 1,
  margin: [0, 3, 0, 1],
});
const line = (text: PdfContent, more: PdfNode = {}): PdfNode => ({ text, ...small, margin: [0, 0, 0, 0.9], ...more });
/** The document and how far it may be trusted; the window shows edition and table. */
function shortSource(source: string): string {
  const mark = /\[[^\]]*\]$/.exec(source)?.[0] ?? '';
  return source === '' ? '' : `${source.split(/[,(;[]/)[0]!.trim()} ${mark}`;
}
const grey = (source: string): PdfNode => ({ text: ` ${shortSource(source)}`, color: pdfInk.ink2, fontSize: 6.6 });

/** 'UFGS 16302N: new PILC cable, times 0.75' of a table's full name. */
const shortTable = (table: string): string => table.replace(/, [^:]*:/, ':').replace(/ \(.*\)$/, '');

function voltageSays(brief: Brief): PdfNode[] {
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
    ]),
    ...voltage.otherTables.map((other) =>
      line([`${other.voltageKv} kV: ${shortTable(other.table)}`, grey(other.source)]),
    ),
    line([brief.ramp.says, grey(brief.ramp.source)]),
    line(`Also accepted: ${brief.alternatives.map((one) => `${one.name} (${one.standard})`).join(', ')}.`),
    ...cautions(brief),
  ];
}

const stopSays = (brief: Brief): PdfNode[] => [
  heading('Stop'),
  ...brief.stop.map((one) => line([one.says, grey(one.source)])),
];

function afterwards(brief: Brief): PdfNode[] {
  const energy = brief.energy.known
    ? `Up to ${measured(brief.energy.energyJ)} J a phase stored at ${brief.energy.voltageKv} kV (½CV²; ${Math.round(brief.energy.capacitanceNf)} nF from the dimensions, ${Math.round(brief.energy.highNf)} at most).`
    : `Stored energy not computed: ${brief.energy.because}.`;
  return [
    heading('Afterwards'),
    line([{ text: brief.earthing.says, bold: true }, grey(brief.earthing.source)]),
    line(`${energy} Zero the voltage, resistive stick, solid earth, wait, look for returned voltage, earth again.`),
  ];
}

const before = (brief: Brief): PdfNode[] => [
  heading('Before'),
  ...brief.checklist.map((one) => line([{ text: `☐ ${one.item}. `, bold: true }, one.says])),
  line(
    `Sources: ${[...new Set(brief.checklist.map((one) => shortSource(one.source)))].filter((word) => word !== '').join('; ')}.`,
    { color: pdfInk.ink2, fontSize: 6.6 },
  ),
];

const cautions = (brief: Brief): PdfNode[] =>
  brief.cautions.map((one) => line([one.says, grey(one.source)], { color: pdfInk.rust }));

const cell = (text: string, right = true): PdfNode => ({
  text,
  fontSize: 7.8,
  lineHeight: 0.96,
  ...(right ? { alignment: 'right' } : {}),
});
const headCell = (text: string, right = true): PdfNode => ({ ...cell(text, right), color: pdfInk.ink2, fontSize: 7.5 });

function tests(brief: Brief, units: Units): PdfNode {
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
    return cells.map((words, k) => ({ ...cell(words, !left.has(k)), ...(at < 3 ? { bold: true } : {}) }));
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
function happened(brief: Brief): PdfNode {
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
function writeIn(brief: Brief): PdfNode {
  const dwell = brief.planned.dwellMin.value;
  const minutes = [1, 5, 10].filter((minute) => minute < dwell).concat(dwell);
  const heads = ['Today', 'kV', '30 s', ...minutes.map((minute) => `${minute} min`), 'residual V', 'outcome'];
  const phases = ['A', 'B', 'C'].filter((phase) => brief.phases.includes(phase));
  return {
    margin: [0, 8, 0, 0],
    stack: [
      {
        layout: { ...ruledTable, paddingTop: () => 2, paddingBottom: () => 5 },
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
        { margin: [0, 8, 0, 0], color: pdfInk.ink2, preserveLeadingSpaces: true },
      ),
    ],
  };
}
