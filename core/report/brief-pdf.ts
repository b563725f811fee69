import type { Brief, Expectation } from '../contract/shapes/retest.ts';
import { cablePicture, phaseMark, stripPicture } from './brief-drawing.ts';
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
const small = { fontSize: 7.9, lineHeight: 1.16 } as const;

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
      margins: [margin, 34, margin, 70],
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
  return {
    ...(again ? { pageBreak: 'before' } : {}),
    stack: [
      head(brief, units),
      { text: brief.sentence, font: 'Serif', fontSize: 10.5, lineHeight: 1.2, margin: [0, 5, 0, 6] },
      rule(width, 0.9, pdfInk.ink2),
      figures(brief, units),
      rule(width, 0.9, pdfInk.ink2),
      {
        columns: [
          { width: '*', stack: [...voltageSays(brief), ...stopSays(brief)] },
          { width: '*', stack: [...afterwards(brief), ...before(brief)] },
        ],
        columnGap: 18,
        margin: [0, 4, 0, 5],
      },
      { svg: cablePicture(brief, width, units.length), width },
      { svg: stripPicture(brief.strip, width), width, margin: [0, 2, 0, 2] },
      tests(brief, units),
      happened(brief),
    ],
  };
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
          { text: brief.name, font: 'Serif', fontSize: 19, bold: true, lineHeight: 1.05 },
          { text: facts.filter((fact) => fact !== '').join(' · '), ...small, color: pdfInk.ink2, margin: [0, 2, 0, 0] },
        ],
      },
      {
        width: 130,
        alignment: 'right',
        stack: [
          { text: 'Retest brief', font: 'Serif', fontSize: 12, color: pdfInk.petrol },
          { text: `for ${brief.on}`, fontSize: 9 },
          { text: [due, brief.area ?? ''].filter((word) => word !== '').join(' · '), ...small, color: pdfInk.ink2 },
          { text: brief.ownerId, ...small, color: pdfInk.ink2 },
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
      margin: [0, 6, 0, 6],
    };
  return {
    stack: [
      {
        text: [{ text: `Expect at ${conditions(brief, units)}`, bold: true }, `  (${planned.voltageKv.from})`],
        fontSize: 9,
        ...(brief.voltage.advised ? {} : { color: pdfInk.rust }),
      },
      { columns: expected.map(figureOf), columnGap: 10, margin: [0, 2, 0, 1] },
      { text: brief.expectedSays, ...small, color: pdfInk.ink2 },
    ],
    margin: [0, 6, 0, 6],
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
  return {
    width: '*',
    stack: [
      {
        columns: [
          { svg: phaseMark(phase), width: 12, margin: [0, 18, 0, 0] },
          { text: phase, width: 'auto', fontSize: 12, margin: [0, 15, 0, 0] },
          { text: measured(value), width: 'auto', font: 'Serif', fontSize: 33, bold: true, lineHeight: 1 },
          { text: 'µA', width: 'auto', fontSize: 12, margin: [0, 15, 0, 0] },
        ],
        columnGap: 4,
      },
      { text: `${measured(lo)} to ${measured(hi)} µA`, fontSize: 12, bold: true, lineHeight: 1.1 },
      {
        text: [
          `surprising under ${measured(lo)} or over ${measured(hi)}; far above over ${measured(reading.farUa)}`,
          reading.limitUa === null ? '' : `; limit ${measured(reading.limitUa)}`,
        ],
        ...small,
      },
    ],
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
        lineHeight: 1.05,
      },
      { text: `Because: ${because}${last}`, fontSize: 9, margin: [0, 1, 0, 3] },
      {
        columns: brief.alternatives.map((one) => ({
          width: '*',
          stack: [
            { text: `${one.name}${one.peakKv === null ? '' : `, ${one.peakKv} kV peak`}`, fontSize: 9.5, bold: true },
            { text: `${one.says}. ${one.source}`, ...small, color: pdfInk.ink2 },
          ],
        })),
        columnGap: 10,
      },
    ],
    margin: [0, 6, 0, 6],
  };
}

const heading = (text: string): PdfNode => ({ text, font: 'Serif', fontSize: 10.5, bold: true, margin: [0, 3, 0, 1] });
const line = (text: PdfContent, more: PdfNode = {}): PdfNode => ({ text, ...small, margin: [0, 0, 0, 1.6], ...more });
const grey = (text: string): PdfNode => ({ text: ` ${text}`, color: pdfInk.ink2, fontSize: 7 });

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
    return [heading('Direct voltage: none advised'), ...entered];
  }
  const duration = voltage.duration.known ? `${voltage.duration.minutes} min` : voltage.duration.because;
  return [
    heading('Voltage and ramp'),
    line([
      { text: `${voltage.voltageKv} kV DC at most, ${duration}: `, bold: true },
      voltage.table,
      grey(voltage.source),
    ]),
    ...voltage.otherTables.map((other) => line([`${other.voltageKv} kV: ${other.table}`, grey(other.source)])),
    line([brief.ramp.says, grey(brief.ramp.source)]),
    line(`Also accepted: ${brief.alternatives.map((one) => `${one.name} (${one.standard})`).join(', ')}.`),
  ];
}

const stopSays = (brief: Brief): PdfNode[] => [
  heading('Stop'),
  ...brief.stop.map((one) => line([one.says, grey(one.source)])),
];

function afterwards(brief: Brief): PdfNode[] {
  const energy = brief.energy.known
    ? `Stored energy up to ${measured(brief.energy.energyJ)} J a phase at ${brief.energy.voltageKv} kV (½CV², C ${Math.round(brief.energy.capacitanceNf)} nF from the dimensions, up to ${Math.round(brief.energy.highNf)}).`
    : `Stored energy not computed: ${brief.energy.because}.`;
  return [
    heading('Afterwards'),
    line([{ text: brief.earthing.says, bold: true }, grey(brief.earthing.source)]),
    line(`${energy} Zero the voltage, resistive stick, solid earth, wait, look for returned voltage, earth again.`),
  ];
}

function before(brief: Brief): PdfNode[] {
  return [
    heading('Before'),
    ...brief.checklist.map((one) => line([{ text: `☐ ${one.item}. `, bold: true }, one.says])),
    ...brief.cautions.map((one) => line(one.says, { color: pdfInk.rust, fontSize: 7.3, margin: [0, 0, 0, 1] })),
  ];
}

const cell = (text: string, right = true): PdfNode => ({
  text,
  fontSize: 8,
  lineHeight: 1.05,
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
        layout: { ...ruledTable, paddingTop: () => 1.2, paddingBottom: () => 1.2 },
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
  return {
    columns: [
      line([
        { text: 'Work done: ', bold: true },
        done === '' ? 'none on record' : `${done}${more(brief.interventions.length)}`,
      ]),
      line([
        { text: 'Failures: ', bold: true },
        failed === '' ? 'none on record' : `${failed}${more(brief.failures.length)}`,
      ]),
    ],
    columnGap: 18,
    margin: [0, 4, 0, 0],
  };
}
