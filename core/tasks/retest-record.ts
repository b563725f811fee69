import { randomUUIDv7 } from 'node:crypto';
import type { InstrumentId, TestEventId } from '../contract/ids.ts';
import { refuse } from '../contract/problem.ts';
import { supersede } from '../store/import.ts';
import { insertReading, recordById } from '../store/records.ts';
import { crewsOfLate, instruments, ownerIdTaken } from '../store/retest.ts';
import { type SegmentRow, segmentRow } from '../store/segment.ts';
import type { Fleet } from '../store/sql.ts';
import type { TestEventTable } from '../store/tables.ts';
import { currentToUa } from '../trade/units.ts';
import { changing } from './change.ts';
import { type Desk, today } from './desk.ts';
import { calibrationWords } from './retest-safety.ts';
import type { Task } from './task.ts';

export const instrumentsTask: Task<'retest.instruments'> = (desk, input) => {
  const on = input.on ?? today(desk);
  return {
    instruments: instruments(desk.fleet).map((row) => {
      const { says, holds } = calibrationWords(desk.fleet, row.id, on);
      return {
        id: row.id as InstrumentId,
        name: row.serial ?? row.ownerId,
        description: row.description,
        calibration: says,
        inCalibration: holds,
      };
    }),
    crews: crewsOfLate(desk.fleet),
  };
};

/** The segment, in service on a day that is not to come. */
function segmentOn(desk: Desk, segmentId: string, day: string, where: string): SegmentRow {
  const row = segmentRow(desk.fleet, segmentId);
  if (!row) throw refuse('not-found', 'There is no such segment in this fleet.', { where: 'segmentId' });
  if (day > today(desk)) throw refuse('bad-input', `${day} is still to come.`, { where });
  if (row.retired_on !== null && day > row.retired_on)
    throw refuse('bad-input', `${row.name} was retired on ${row.retired_on}.`, { where });
  return row;
}

/** An id of the owner's kind for a record entered here: segment and day, with a number where that is taken. */
export function freeOwnerId(
  fleet: Fleet,
  entity: 'test_event' | 'failure' | 'intervention' | 'splice',
  segment: SegmentRow,
  day: string,
): string {
  const stem = `${segment.owner_id}/${day}`;
  for (let n = 1; ; n++) {
    const ownerId = n === 1 ? stem : `${stem}/${n}`;
    if (!ownerIdTaken(fleet, entity, ownerId)) return ownerId;
  }
}

export const recordTask: Task<'retest.record'> = (desk, input) => {
  const segment = segmentOn(desk, input.segmentId, input.testedOn, 'testedOn');
  const seen = new Set<string>();
  for (const reading of input.readings) {
    if (!segment.phases.includes(reading.phase))
      throw refuse('bad-input', `${segment.name} has no phase ${reading.phase}.`, { where: 'readings' });
    const key = `${reading.phase} ${reading.step}`;
    if (seen.has(key))
      throw refuse('bad-input', `Phase ${reading.phase}, step ${reading.step} is given twice.`, { where: 'readings' });
    seen.add(key);
  }
  if (input.instrumentId !== null && !recordById(desk.fleet, 'instrument', input.instrumentId))
    throw refuse('not-found', 'There is no such instrument in this fleet.', { where: 'instrumentId' });
  const readings = input.readings
    .map((reading) => ({
      phase: reading.phase,
      step: reading.step,
      voltage_kv: reading.voltageKv,
      dwell_min: reading.dwellMin,
      leakage_ua: currentToUa(reading.leakage, reading.leakageUnit),
      leakage_typed: reading.leakage,
      leakage_typed_unit: reading.leakageUnit,
      below_floor: reading.belowFloor ? 1 : 0,
      insulation_temp_c: input.insulationTempC,
      ambient_temp_c: input.ambientTempC,
      humidity_pct: input.humidityPct,
      outcome: reading.outcome,
      instrument_id: input.instrumentId,
      crew: input.crew === '' ? null : input.crew,
      note: reading.note === '' ? null : reading.note,
    }))
    .sort((a, b) => (a.phase === b.phase ? a.step - b.step : a.phase < b.phase ? -1 : 1));
  const brokeDown = [...new Set(input.readings.filter((one) => one.outcome === 'breakdown').map((one) => one.phase))];
  return changing(desk, (change) => {
    const corrected = input.supersedes && correctedTest(desk.fleet, input.supersedes.testId, input.segmentId);
    const ownerId = corrected?.owner_id ?? freeOwnerId(desk.fleet, 'test_event', segment, input.testedOn);
    const row = {
      owner_id: ownerId,
      segment_id: input.segmentId,
      tested_on: input.testedOn,
      method: input.method,
      purpose: input.purpose,
      source_file_id: null,
      supersedes_id: corrected?.id ?? null,
      superseded_by_id: null,
    };
    const id = randomUUIDv7();
    const add = (): string => change.add('test_event', row, readings, id);
    if (corrected) supersede(desk.fleet, corrected.id, id, add);
    else add();
    for (const reading of readings) insertReading(desk.fleet, { test_event_id: id, ...reading });
    change.seal(
      { what: corrected ? 'correct test' : 'record test', why: input.supersedes?.reason },
      {
        entity: 'test_event',
        id,
        before: corrected ? { test: corrected.id, tested_on: corrected.tested_on } : null,
        after: { test: ownerId, segment: segment.owner_id, tested_on: input.testedOn, readings: readings.length },
      },
    );
    return {
      id: id as TestEventId,
      ownerId,
      revision: change.seq,
      readings: readings.length,
      brokeDown,
      remarks: remarksOn(desk.fleet, input),
    };
  });
};

/** The test in force that a correction takes the place of. */
export function correctedTest(fleet: Fleet, testId: string, segmentId: string): TestEventTable {
  const where = 'supersedes.testId';
  const test = recordById(fleet, 'test_event', testId);
  if (!test) throw refuse('not-found', 'There is no such test in this fleet.', { where });
  if (test.segment_id !== segmentId) throw refuse('bad-input', 'That test is of another segment.', { where });
  if (test.superseded_by_id !== null)
    throw refuse('moved-on', `The test of ${test.tested_on} was corrected already; correct the one in force.`, {
      where,
    });
  return test;
}

/** What an auditor would ask about this record. */
function remarksOn(fleet: Fleet, input: Parameters<typeof recordTask>[1]): string[] {
  const remarks: string[] = [];
  if (input.instrumentId === null) remarks.push('No instrument is named: the record is incomplete.');
  else {
    const { says, holds } = calibrationWords(fleet, input.instrumentId, input.testedOn);
    if (!holds) remarks.push(`On ${input.testedOn} the instrument’s ${says}; the evidence shows it so.`);
  }
  if (input.insulationTempC === null)
    remarks.push('No insulation temperature: the season’s is taken, and the reading says less.');
  return remarks;
}

export const recordFailureTask: Task<'retest.recordFailure'> = (desk, input) => {
  const segment = segmentOn(desk, input.segmentId, input.failedOn, 'failedOn');
  return changing(desk, (change) => {
    const ownerId = freeOwnerId(desk.fleet, 'failure', segment, input.failedOn);
    const row = {
      owner_id: ownerId,
      segment_id: input.segmentId,
      failed_on: input.failedOn,
      phase: input.phase,
      part: input.part,
      cause: input.cause === '' ? null : input.cause,
      customers_interrupted: input.customersInterrupted,
      duration_min: input.durationMin,
    };
    const id = change.add('failure', row);
    change.seal({ what: 'record failure' }, { entity: 'failure', id, before: null, after: row });
    return { ownerId, revision: change.seq };
  });
};

export const recordInterventionTask: Task<'retest.recordIntervention'> = (desk, input) => {
  const segment = segmentOn(desk, input.segmentId, input.doneOn, 'doneOn');
  if (input.splice && input.splice.positionM !== null && input.splice.positionM > segment.length_m)
    throw refuse('bad-input', `${segment.name} is ${segment.length_m} m long; the splice would lie beyond its end.`, {
      where: 'splice.positionM',
    });
  return changing(desk, (change) => {
    const ownerId = freeOwnerId(desk.fleet, 'intervention', segment, input.doneOn);
    const row = {
      owner_id: ownerId,
      segment_id: input.segmentId,
      done_on: input.doneOn,
      kind: input.kind,
      note: input.note === '' ? null : input.note,
    };
    const id = change.add('intervention', row);
    if (input.splice)
      change.add('splice', {
        owner_id: freeOwnerId(desk.fleet, 'splice', segment, input.doneOn),
        segment_id: input.segmentId,
        phase: input.splice.phase,
        position_m: input.splice.positionM,
        kind: input.splice.kind,
        installed_on: input.doneOn,
        removed_on: null,
      });
    change.seal({ what: 'record work done' }, { entity: 'intervention', id, before: null, after: row });
    return { ownerId, revision: change.seq };
  });
};
