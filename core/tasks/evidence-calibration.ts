import { readFileSync } from 'node:fs';
import { basename, extname } from 'node:path';
import { brotliCompressSync } from 'node:zlib';
import type { OutputOf } from '../contract/asks/index.ts';
import { refuse } from '../contract/problem.ts';
import { assumedMonths, calibrationOn, dueDay, lapsesOf } from '../evidence/calibration.ts';
import { sha256 } from '../evidence/canonical.ts';
import { counted } from '../report/counted.ts';
import { csvText } from '../report/csv.ts';
import {
  type CalibrationRow,
  calibrations,
  instruments,
  instrumentsUsed,
  sourceFileBySha,
  type UsedRow,
} from '../store/calibration.ts';
import { recordById } from '../store/records.ts';
import type { Fleet } from '../store/sql.ts';
import { changing } from './change.ts';
import type { Desk } from './desk.ts';
import { checkPeriod } from './evidence-compliance.ts';
import { keptKind } from './kept-answers.ts';
import { keptOfPeriod } from './kept-of-period.ts';
import { writeOut } from './out-file.ts';
import type { TasksOf } from './task.ts';

type Answer = OutputOf<'evidence.calibration'>;

export interface CalibrationOf extends Omit<Answer, 'written' | 'unknown'> {
  readonly unknown: Answer['unknown'];
  /** One row a test and instrument, for CSV. */
  readonly cells: string[][];
}

/** Tests without a known state shown one by one; the rest are counted. */
const shownUnknown = 200;

const hex = (bytes: Uint8Array) => Buffer.from(bytes).toString('hex');

/** Raise the edition with every change of what it says. */
const kind = keptKind({
  name: 'calibration of tests, edition 1',
  passesOver: [
    'substation',
    'feeder',
    'splice',
    'termination',
    'intervention',
    'failure',
    'trace',
    'person',
    'leakage_limit',
    'policy',
    'excuse',
    'cost',
    'finding_verdict',
    'treatment',
    'plan',
    'layout',
  ],
});

/** The same without its rows. */
function calibrationNow(desk: Desk, from: string, to: string): Omit<CalibrationOf, 'cells'> {
  const make = () => {
    const { cells: _, ...made } = calibrationOf(desk.fleet, from, to);
    return made;
  };
  return keptOfPeriod(desk, kind, { from, to }, make, ({ counts }) => sentenceOf(counts, from, to));
}

/** Whether each test of a period was made with an instrument in calibration that day. */
export function calibrationOf(fleet: Fleet, from: string, to: string): CalibrationOf {
  const byInstrument = Map.groupBy(calibrations(fleet), (row) => row.instrumentId);
  const named = new Map(instruments(fleet).map((one) => [one.id, one]));
  const tests = new Map<string, { used: UsedRow[]; worst: 'in' | 'out' | 'unknown' }>();
  const unknown: Answer['unknown'] = [];
  const cells: string[][] = [];
  const out = new Map<string, UsedRow[]>();
  const uses = new Map<string, { tests: number; out: number }>();
  for (const row of instrumentsUsed(fleet, from, to)) {
    const own = row.instrumentId === null ? null : (byInstrument.get(row.instrumentId) ?? []);
    const day = calibrationOn<CalibrationRow>(own, row.testedOn);
    const test = tests.get(row.id) ?? { used: [], worst: 'in' as const };
    test.used.push(row);
    if (day.status === 'out of calibration') test.worst = 'out';
    else if (day.status === 'unknown' && test.worst === 'in') test.worst = 'unknown';
    tests.set(row.id, test);
    if (row.instrumentId !== null) {
      const use = uses.get(row.instrumentId) ?? { tests: 0, out: 0 };
      use.tests++;
      if (day.status === 'out of calibration') {
        use.out++;
        const touched = out.get(row.instrumentId);
        if (touched) touched.push(row);
        else out.set(row.instrumentId, [row]);
      }
      uses.set(row.instrumentId, use);
    }
    if (day.status === 'unknown')
      unknown.push({ ownerId: row.ownerId, segment: row.segment, testedOn: row.testedOn, because: day.because });
    const by = day.status === 'unknown' ? null : day.by;
    cells.push([
      row.ownerId,
      row.segment,
      row.testedOn,
      row.instrumentId === null ? '' : (named.get(row.instrumentId)?.ownerId ?? ''),
      day.status,
      by?.calibratedOn ?? '',
      by ? dueDay(by) : '',
      by && by.dueOn === null ? 'yes' : '',
      by?.certificate ?? '',
      by?.sha256 ? hex(by.sha256) : '',
      day.status === 'unknown' ? day.because : '',
    ]);
  }
  const counts = { inCalibration: 0, outOfCalibration: 0, unknown: 0 };
  for (const { worst } of tests.values())
    counts[worst === 'in' ? 'inCalibration' : worst === 'out' ? 'outOfCalibration' : 'unknown']++;
  return {
    sentence: sentenceOf(counts, from, to),
    counts,
    instruments: [...named.values()].flatMap((one) => {
      const use = uses.get(one.id);
      const own = byInstrument.get(one.id) ?? [];
      if (!use) return [];
      return {
        instrument: one.ownerId,
        serial: one.serial,
        tests: use.tests,
        outOfCalibration: use.out,
        certificates: own.map(certificateOf),
      };
    }),
    lapses: [...named.values()].flatMap((one) =>
      lapsesOf(byInstrument.get(one.id) ?? []).flatMap((lapse) => {
        const touched = (out.get(one.id) ?? []).filter(
          (row) => row.testedOn >= lapse.from && (lapse.to === null || row.testedOn <= lapse.to),
        );
        if (touched.length === 0) return [];
        return {
          instrument: one.ownerId,
          ...lapse,
          says: `Instrument ${one.ownerId} was out of calibration ${lapse.to === null ? `since ${lapse.from}` : `from ${lapse.from} to ${lapse.to}`}; ${touched.length} ${touched.length === 1 ? 'test was' : 'tests were'} made with it. They stay in the record.`,
          tests: touched.map(({ id, ownerId, segment, testedOn }) => ({ id, ownerId, segment, testedOn })),
        };
      }),
    ),
    unknown: unknown.slice(0, shownUnknown),
    unknownTotal: unknown.length,
    cells,
  };
}

const certificateOf = (row: CalibrationRow) => ({
  id: row.id,
  calibratedOn: row.calibratedOn,
  dueOn: dueDay(row),
  dueAssumed: row.dueOn === null,
  certificate: row.certificate,
  file:
    row.fileId && row.fileName && row.sha256 ? { id: row.fileId, name: row.fileName, sha256: hex(row.sha256) } : null,
});

function sentenceOf(counts: Answer['counts'], from: string, to: string): string {
  const tests = counts.inCalibration + counts.outOfCalibration + counts.unknown;
  if (tests === 0) return `From ${from} to ${to} no test was made.`;
  const said =
    counts.inCalibration === tests
      ? `Every one of the ${counted(tests)} tests from ${from} to ${to} was made with an instrument in calibration.`
      : `Of ${counted(tests)} tests from ${from} to ${to}, ${counted(counts.inCalibration)} were made with an instrument in calibration, ${counted(counts.outOfCalibration)} with one out of calibration; for ${counted(counts.unknown)} the record does not say.`;
  return `${said} Where a certificate names no due day, ${assumedMonths} months are taken: common practice, no source.`;
}

const csvHeader =
  'test_id,segment,tested_on,instrument_id,status,calibrated_on,due_on,due_on_assumed,certificate,certificate_sha256,because'.split(
    ',',
  );
export const calibrationCsv = ({ cells }: CalibrationOf): string => csvText([csvHeader, ...cells]);

const mediaTypes: Readonly<Record<string, string>> = {
  '.pdf': 'application/pdf',
  '.png': 'image/png',
  '.jpg': 'image/jpeg',
  '.jpeg': 'image/jpeg',
  '.txt': 'text/plain',
};
/** The largest certificate taken in. */
const mostBytes = 32 << 20;

export const calibrationTasks: TasksOf<'evidence.calibration' | 'calibration.attach'> = {
  'evidence.calibration': (desk, { from, to, csv }) => {
    checkPeriod(from, to);
    if (csv === undefined) return { ...calibrationNow(desk, from, to), written: [] };
    const { cells, ...answer } = calibrationOf(desk.fleet, from, to);
    writeOut(desk.fleet, csv, calibrationCsv({ cells, ...answer }));
    return { ...answer, written: [csv] };
  },

  'calibration.attach': (desk, { calibrationId, file }) => {
    const before = recordById(desk.fleet, 'calibration', calibrationId);
    if (!before) throw refuse('not-found', 'There is no such calibration.', { where: 'calibrationId' });
    const bytes = readFileSync(file);
    if (bytes.length === 0 || bytes.length > mostBytes)
      throw refuse(
        'bad-input',
        `A certificate has 1 byte to ${mostBytes >> 20} MB; this file has ${bytes.length} bytes.`,
        { where: file },
      );
    const digest = sha256(bytes);
    const packed = brotliCompressSync(bytes);
    const smaller = packed.length < bytes.length;
    return changing(desk, (change) => {
      const sourceFileId =
        sourceFileBySha(desk.fleet, digest)?.id ??
        change.add('source_file', {
          sha256: digest,
          name: basename(file),
          media_type: mediaTypes[extname(file).toLowerCase()] ?? 'application/octet-stream',
          byte_count: bytes.length,
          compression: smaller ? 'brotli' : 'none',
          bytes: smaller ? packed : bytes,
          received_at: desk.now(),
        });
      if (before.source_file_id === sourceFileId)
        throw refuse('bad-input', 'This file is attached to that calibration already.', { where: file });
      change.update('calibration', before, { ...before, source_file_id: sourceFileId });
      change.seal(
        { what: 'attach certificate' },
        {
          entity: 'calibration',
          id: calibrationId,
          before: { source_file_id: before.source_file_id },
          after: { source_file_id: sourceFileId, name: basename(file), sha256: hex(digest) },
        },
      );
      return { sourceFileId, sha256: hex(digest), bytes: bytes.length, revision: change.seq };
    });
  },
};
