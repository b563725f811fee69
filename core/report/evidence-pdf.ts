import { makePdf, type PdfContent, type PdfNode, pdfInk, ruledTable } from './pdf.ts';

export interface EvidenceCounts {
  readonly due: number;
  readonly onTime: number;
  readonly early: number;
  readonly late: number;
  readonly missing: number;
  readonly excused: number;
  readonly open: number;
}

/** What the report on a period shows; every sentence is made elsewhere. */
export interface EvidenceReport {
  readonly utility: string;
  readonly from: string;
  readonly to: string;
  readonly head: { readonly line: number; readonly hash: string; readonly at: string };
  readonly integrity: { readonly sentence: string; readonly limit: string; readonly wrong: readonly string[] };
  readonly signatures: readonly {
    readonly line: number;
    readonly by: string;
    readonly at: string;
    readonly holds: boolean;
  }[];
  readonly compliance: {
    readonly sentence: string;
    readonly caution: string;
    readonly rules: readonly {
      readonly name: string;
      readonly words: string;
      readonly source: string;
    }[];
    readonly bySubstation: readonly { readonly name: string; readonly counts: EvidenceCounts }[];
    readonly byFeeder: readonly {
      readonly name: string;
      readonly substation: string;
      readonly counts: EvidenceCounts;
    }[];
    /** Late, missing, excused: what an auditor asks about. */
    readonly exceptions: readonly (readonly string[])[];
    readonly exceptionsTotal: number;
    readonly unknown: number;
  };
  readonly calibration: {
    readonly sentence: string;
    readonly instruments: readonly (readonly string[])[];
    readonly lapses: readonly { readonly says: string; readonly tests: string }[];
  };
  readonly completeness: { readonly sentence: string; readonly fields: readonly (readonly string[])[] };
  readonly changes: {
    readonly sentence: string;
    readonly rows: readonly (readonly string[])[];
    readonly total: number;
  };
  readonly roles: string;
  readonly footCaution: string;
}

const head = (text: string, right = false): PdfNode => ({
  text,
  style: 'head',
  ...(right ? { alignment: 'right' } : {}),
});
const cell = (text: string, right = false): PdfNode => ({
  text,
  style: 'cell',
  ...(right ? { alignment: 'right' } : {}),
});

function table(
  heads: readonly string[],
  rows: readonly (readonly string[])[],
  widths: readonly (string | number)[],
  right: readonly number[] = [],
): PdfContent {
  if (rows.length === 0) return { text: 'None.', style: 'note' };
  return {
    layout: ruledTable,
    table: {
      headerRows: 1,
      keepWithHeaderRows: 1,
      dontBreakRows: true,
      widths,
      body: [
        heads.map((text, i) => head(text, right.includes(i))),
        ...rows.map((row) => row.map((text, i) => cell(text, right.includes(i)))),
      ],
    },
  };
}

/** A moment as people read it; the machine form stands in the bag's files. */
export const moment = (at: string): string => `${at.slice(0, 10)} ${at.slice(11, 16)} UTC`;

/** Feeders with a row of their own in the report. */
const mostFeeders = 300;

const countHeads = ['Due', 'On time', 'Early', 'Late', 'Missing', 'Excused', 'Open'];
const countCells = (c: EvidenceCounts) => [c.due, c.onTime, c.early, c.late, c.missing, c.excused, c.open].map(String);
const heading = (text: string): PdfNode => ({ text, style: 'heading', headlineLevel: 1 });
const note = (text: string): PdfNode => ({ text, style: 'note', margin: [0, 4, 0, 4] });

/** The report in a bag of evidence. Dated by the ledger's head, so that the same fleet and period give the same bytes. */
export function evidencePdf(report: EvidenceReport): Promise<Uint8Array> {
  const { compliance, calibration, completeness, integrity, changes } = report;
  const title = `Evidence from ${report.from} to ${report.to}`;
  const content: PdfContent = [
    { text: title, style: 'title' },
    { text: `${report.utility}. ${compliance.sentence}`, style: 'sentence' },

    heading('Has anyone changed the record since?'),
    { text: integrity.sentence, margin: [0, 0, 0, 4] },
    ...(integrity.wrong.length > 0 ? [{ ul: integrity.wrong.map((text) => ({ text, color: pdfInk.rust })) }] : []),
    note(integrity.limit),
    { text: `Ledger line ${report.head.line}, written ${moment(report.head.at)}`, margin: [0, 6, 0, 0] },
    { text: report.head.hash, fontSize: 9.5, color: pdfInk.petrol, characterSpacing: 0.3 },
    ...(report.signatures.length > 0
      ? [
          table(
            ['Signed line', 'By', 'At', ''],
            report.signatures.map((one) => [
              `${one.line}`,
              one.by,
              moment(one.at),
              one.holds ? 'holds' : 'does not hold',
            ]),
            ['auto', '*', 'auto', 'auto'],
          ),
        ]
      : [note('No line of this ledger is signed.')]),

    heading('Was it tested when it should have been?'),
    { text: compliance.sentence, margin: [0, 0, 0, 4] },
    ...compliance.rules.map((rule) => ({
      stack: [{ text: `The rule (${rule.name}): ${rule.words}` }, { text: `Source: ${rule.source}`, style: 'note' }],
      margin: [0, 2, 0, 4],
    })),
    { text: compliance.caution, style: 'caution', margin: [0, 2, 0, 8] },
    table(
      ['Substation', ...countHeads],
      compliance.bySubstation.map((row) => [row.name, ...countCells(row.counts)]),
      ['*', ...countHeads.map(() => 'auto')],
      [1, 2, 3, 4, 5, 6, 7],
    ),
    { text: '', margin: [0, 0, 0, 8] },
    table(
      ['Feeder', 'Substation', ...countHeads],
      compliance.byFeeder.slice(0, mostFeeders).map((row) => [row.name, row.substation, ...countCells(row.counts)]),
      ['*', '*', ...countHeads.map(() => 'auto')],
      [2, 3, 4, 5, 6, 7, 8],
    ),
    ...more(Math.min(compliance.byFeeder.length, mostFeeders), compliance.byFeeder.length, 'compliance.csv'),
    ...(compliance.unknown > 0
      ? [
          note(
            `For ${compliance.unknown} segments no due day can be told: neither a test nor the first day in service is on record.`,
          ),
        ]
      : []),
    heading('Late, missing and excused'),
    table(
      ['Segment', 'Feeder', 'Due', 'Done', 'Days late', 'State', 'Excuse'],
      compliance.exceptions,
      ['*', 'auto', 'auto', 'auto', 'auto', 'auto', '*'],
      [4],
    ),
    ...more(compliance.exceptions.length, compliance.exceptionsTotal, 'compliance.csv'),

    heading('With a calibrated instrument?'),
    { text: calibration.sentence, margin: [0, 0, 0, 6] },
    table(
      ['Instrument', 'Serial', 'Tests', 'Out of calibration', 'Certificates'],
      calibration.instruments,
      ['auto', 'auto', 'auto', 'auto', '*'],
      [2, 3],
    ),
    ...calibration.lapses.map((lapse) => ({
      stack: [
        { text: lapse.says, color: pdfInk.rust },
        { text: lapse.tests, style: 'note' },
      ],
      margin: [0, 6, 0, 0],
    })),

    heading('Is each record complete?'),
    { text: completeness.sentence, margin: [0, 0, 0, 6] },
    table(['Asked for', 'Looked for', 'Missing', 'Asked by'], completeness.fields, ['*', '*', 'auto', '*'], [2]),

    heading('What was changed in the file since the period began?'),
    { text: changes.sentence, margin: [0, 0, 0, 6] },
    table(
      ['Line', 'At', 'Who', 'What', 'Why', 'Records'],
      changes.rows,
      ['auto', 'auto', 'auto', 'auto', '*', 'auto'],
      [0, 5],
    ),
    ...more(changes.rows.length, changes.total, 'ledger.jsonl'),
    note(report.roles),
  ];
  return makePdf(
    { content },
    {
      createdAt: report.head.at,
      title: `${title}, ${report.utility}`,
      footer: { ledgerHead: report.head.hash, ledgerSeq: report.head.line, caution: report.footCaution },
    },
  );
}

const more = (shown: number, total: number, file: string): PdfNode[] =>
  total > shown ? [note(`${shown} of ${total} are shown; ${file} in this bag holds all.`)] : [];
