import { randomUUIDv7 } from 'node:crypto';
import type { z } from 'zod';
import type { SegmentId, TestEventId } from '../contract/ids.ts';
import { refuse } from '../contract/problem.ts';
import type { AcceptedFile } from '../contract/shapes/records.ts';
import { supersede } from '../store/import.ts';
import { revisionOf } from '../store/ledger.ts';
import { insertReading, recordById } from '../store/records.ts';
import { readingsOnDay } from '../store/records-match.ts';
import { type SegmentRow, segmentRow } from '../store/segment.ts';
import type { Fleet } from '../store/sql.ts';
import type { ReadingTable, TestEventTable } from '../store/tables.ts';
import { encodeTrace } from '../trace/codec.ts';
import type { TraceReading } from '../trace/reading.ts';
import { type Change, changing } from './change.ts';
import { type Desk, today } from './desk.ts';
import { keepFile } from './records-aside.ts';
import { givenRecords } from './records-files.ts';
import { isReadable, type ReadableFile, studyFiles } from './records-study.ts';
import { correctedTest, freeOwnerId } from './retest-record.ts';
import type { Task } from './task.ts';

type Accepted = z.output<typeof AcceptedFile>;

/** How a trace is packed; the codec can change, stored traces do not. */
export const traceCodec = 'columns-1';

/** A file that is to become a phase of a test, with what a person confirmed. */
export interface PhaseOfTest {
  readonly wish: Accepted;
  readonly file: ReadableFile;
}

export interface WrittenTest {
  readonly id: TestEventId;
  readonly ownerId: string;
  readonly segmentId: SegmentId;
  readonly segment: string;
  readonly testedOn: string;
  readonly phases: string;
}

/** Files named in full in a ledger line; all are counted, and each keeps its own digest in the line's list. */
const namedInLine = 500;

export const acceptRecords: Task<'records.accept'> = async (desk, { revision, files, reason, ...places }) => {
  const wishes = new Map(files.map((wish) => [wish.key, wish]));
  if (wishes.size < files.length) throw refuse('bad-input', 'A file is given twice.', { where: 'files' });
  if (reason === undefined && files.some((wish) => wish.supersedes !== null))
    throw refuse('bad-input', 'A correction needs its reason.', { where: 'reason' });
  const given = await givenRecords(desk.fleet, places);
  const studied = await studyFiles(desk, given.testers, (key) => wishes.has(key));
  const found = new Map(studied.filter((file) => file.sameAs === null).map((file) => [file.key, file]));
  const same = [...found.values()].filter((file) => file.knownAs !== null).length;
  const phases = files.flatMap((wish): PhaseOfTest[] => {
    const file = found.get(wish.key);
    if (file?.knownAs) return [];
    if (!file || !isReadable(file)) throw movedOn();
    checkWish(desk, wish, file);
    return [{ wish, file }];
  });
  if (phases.length === 0) return { revision: revisionOf(desk.fleet), accepted: 0, same, tests: [] };
  return changing(desk, (change) => {
    if (revisionOf(desk.fleet) !== revision) throw movedOn();
    const tests = writeTests(change, phases);
    change.seal({ what: 'import records', why: reason }, undefined, {
      files: phases.slice(0, namedInLine).map(({ wish, file }) => ({
        file: file.given.name,
        sha256: file.key,
        phase: wish.phase,
        tested_on: wish.testedOn,
      })),
      count: phases.length,
    });
    return { revision: change.seq, accepted: phases.length, same, tests };
  });
};

const movedOn = () =>
  refuse('moved-on', 'The files or the fleet changed since the preview. Look at a new preview, then accept.');

function checkWish(desk: Desk, wish: Accepted, file: ReadableFile): void {
  const where = file.given.name;
  const segment = segmentRow(desk.fleet, wish.segmentId);
  if (!segment) throw refuse('not-found', 'There is no such segment in this fleet.', { where });
  if (!segment.phases.includes(wish.phase))
    throw refuse('bad-input', `${segment.name} has no phase ${wish.phase}.`, { where });
  if (wish.testedOn > today(desk)) throw refuse('bad-input', `${wish.testedOn} is still to come.`, { where });
  if (segment.retired_on !== null && wish.testedOn > segment.retired_on)
    throw refuse('bad-input', `${segment.name} was retired on ${segment.retired_on}.`, { where });
  if (wish.instrumentId !== null && !recordById(desk.fleet, 'instrument', wish.instrumentId))
    throw refuse('not-found', 'There is no such instrument in this fleet.', { where });
}

/** Files of one segment, day and method become one test, a phase each; a second file of a phase begins another test. */
export function writeTests(change: Change, phases: readonly PhaseOfTest[]): WrittenTest[] {
  const groups = new Map<string, PhaseOfTest[][]>();
  for (const phase of phases) {
    const { wish } = phase;
    const key = [wish.segmentId, wish.testedOn, wish.method, wish.purpose, wish.supersedes].join(' ');
    const tests = groups.get(key) ?? [];
    groups.set(key, tests);
    const open = tests.find((test) => test.every((other) => other.wish.phase !== wish.phase));
    if (open) open.push(phase);
    else tests.push([phase]);
  }
  return [...groups.values()].flat().map((test) => writeTest(change, test));
}

function writeTest(change: Change, test: readonly PhaseOfTest[]): WrittenTest {
  const { fleet } = change.desk;
  const ordered = [...test].sort((a, b) => (a.wish.phase < b.wish.phase ? -1 : 1));
  const { wish } = ordered[0]!;
  const segment = segmentRow(fleet, wish.segmentId) as SegmentRow;
  const files = ordered.map(({ file }) => keepFile(change, file.given).id);
  const readings = ordered.flatMap(readingsOf);
  const corrected = wish.supersedes === null ? null : correctedWhole(fleet, wish.supersedes, ordered);
  const ownerId = corrected?.owner_id ?? freeOwnerId(fleet, 'test_event', segment, wish.testedOn);
  const id = randomUUIDv7();
  const row = {
    owner_id: ownerId,
    segment_id: wish.segmentId,
    tested_on: wish.testedOn,
    method: wish.method,
    purpose: wish.purpose,
    source_file_id: files[0]!,
    supersedes_id: corrected?.id ?? null,
    superseded_by_id: null,
  };
  const add = (): string => change.add('test_event', row, readings, id);
  if (corrected) supersede(fleet, corrected.id, id, add);
  else add();
  for (const reading of readings) insertReading(fleet, { test_event_id: id, ...reading });
  ordered.forEach(({ file, wish: { phase } }, i) => {
    const { samples } = file.file;
    change.add('trace', {
      test_event_id: id,
      phase,
      source_file_id: files[i]!,
      sample_count: samples.timeS.length,
      duration_s: spanOf(samples.timeS),
      codec: traceCodec,
      samples: Buffer.from(encodeTrace(samples)),
      says: JSON.stringify({ reading: file.reading, subject: file.file.subject, layout: file.file.layout.fingerprint }),
    });
  });
  return {
    id: id as TestEventId,
    ownerId,
    segmentId: wish.segmentId,
    segment: segment.name,
    testedOn: wish.testedOn,
    phases: ordered.map((phase) => phase.wish.phase).join(''),
  };
}

/** The test that files correct. They must hold all its phases: none of its readings falls out of force unanswered. */
function correctedWhole(fleet: Fleet, testId: string, test: readonly PhaseOfTest[]): TestEventTable {
  const corrected = correctedTest(fleet, testId, test[0]!.wish.segmentId);
  const lost = readingsOnDay(fleet, corrected.segment_id, corrected.tested_on).find(
    (row) => row.testId === testId && test.every(({ wish }) => wish.phase !== row.phase),
  );
  if (lost)
    throw refuse(
      'bad-input',
      `Test ${corrected.owner_id} has a reading of phase ${lost.phase} too, and no file corrects it. Choose the files of all its phases, or take these in as a test of their own.`,
      { where: 'supersedes' },
    );
  return corrected;
}

/** A row a step held; where none was held, one row with what can be said. */
function readingsOf({ wish, file }: PhaseOfTest): Omit<ReadingTable, 'test_event_id'>[] {
  const { reading } = file;
  const { subject } = file.file;
  const held =
    reading.steps.length > 0
      ? reading.steps.map((step, i) => {
          const last = i === reading.steps.length - 1;
          return {
            voltageKv: step.voltageKv,
            dwellMin: step.dwellS / 60,
            ...leakageOf(reading, step.leakageUa, step.resistanceMohm.known),
            outcome: last ? reading.outcome : ('withstood' as const),
            note: null,
          };
        })
      : [
          {
            voltageKv: reading.breakdown.known ? reading.breakdown.value.kv : reading.voltageKv,
            dwellMin: null,
            ...highestCurrent(file, reading),
            outcome: reading.outcome,
            note: 'No voltage was held; the current is the one of the rise, charging with it, and bounds the leakage.',
          },
        ];
  return held.map((row, step) => ({
    phase: wish.phase,
    step,
    voltage_kv: digits(row.voltageKv),
    dwell_min: row.dwellMin === null ? null : Math.max(0.01, Number(row.dwellMin.toFixed(2))),
    leakage_ua: digits(row.leakageUa),
    leakage_typed: digits(row.leakageUa),
    leakage_typed_unit: 'uA',
    below_floor: row.belowFloor ? 1 : 0,
    insulation_temp_c: wish.insulationTempC,
    ambient_temp_c: subject.ambientC,
    humidity_pct: subject.humidityPct,
    outcome: row.outcome,
    instrument_id: wish.instrumentId,
    crew: wish.crew === '' ? null : wish.crew,
    note: row.note,
  }));
}

/** A leakage that the instrument does not resolve is known to lie under one step of its reading. */
function leakageOf(reading: TraceReading, leakageUa: number, resolved: boolean) {
  if (resolved && leakageUa > 0) return { leakageUa, belowFloor: false };
  const step = reading.leakageResolutionUa;
  return { leakageUa: step.known ? step.value : Math.max(Math.abs(leakageUa), leastUa), belowFloor: true };
}

/** A nanoampere's thousandth: under what any field tester shows. */
const leastUa = 1e-6;

/** The usual current while the voltage was above nine tenths of the highest reached. */
function highestCurrent({ file }: ReadableFile, reading: TraceReading) {
  const { voltageKv, currentUa } = file.samples;
  const near = [...currentUa].filter(
    (ua, i) => Math.abs(voltageKv[i]!) >= 0.9 * reading.voltageKv && Number.isFinite(ua),
  );
  const sizes = near.map(Math.abs).sort((a, b) => a - b);
  return { leakageUa: Math.max(sizes[sizes.length >> 1] ?? 0, leastUa), belowFloor: true };
}

/** From the earliest sample to the latest, whatever their order. */
function spanOf(timeS: Float64Array): number {
  const finite = timeS.filter(Number.isFinite);
  return finite.reduce((a, b) => Math.max(a, b), -Infinity) - finite.reduce((a, b) => Math.min(a, b), Infinity);
}

/** Five significant digits: more than a field reading carries. The trace keeps what the samples say in full. */
const digits = (value: number): number => Number(value.toPrecision(5));
