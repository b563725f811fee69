import { segmentRow } from '../store/segment.ts';
import { type Desk, today } from './desk.ts';
import { segmentAt } from './duty-columns.ts';
import {
  checkPeriod,
  complianceCaution,
  complianceCsv,
  complianceOf,
  complianceSentence,
} from './evidence-compliance.ts';
import { type Register, registerOf, registerRows } from './evidence-register.ts';
import { writeOut } from './out-file.ts';
import type { Task } from './task.ts';

/** Segments named for which no due day can be told; the rest are counted. */
const namedUnknown = 100;

function saidOf({ fleet }: Desk, register: Register) {
  const { rules, total, bySubstation, from, to, unknown, duties } = register;
  return {
    sentence: complianceSentence(register, from, to),
    caution: complianceCaution,
    rules,
    total,
    bySubstation,
    unknown: {
      count: unknown.length,
      because: 'neither a test nor the first day in service is on record, so no due day can be counted',
      segments: unknown.slice(0, namedUnknown).map((p) => segmentRow(fleet, segmentAt(duties, p))!.owner_id),
    },
  };
}

export const complianceTask: Task<'evidence.compliance'> = (desk, { from, to, skip, count, status, csv }) => {
  checkPeriod(from, to);
  const register = registerOf(desk, from, to, 'study');
  if (csv !== undefined) writeOut(desk.fleet, csv, complianceCsv(complianceOf(desk, from, to, today(desk)).rows));
  return {
    ...saidOf(desk, register),
    byFeeder: skip === 0 ? register.byFeeder : [],
    ...registerRows(desk, register, status, skip, count),
    written: csv === undefined ? [] : [csv],
  };
};

/** The same rows for a window, at once. */
export const registerTask: Task<'evidence.register'> = (desk, { from, to, skip, count, status }) => {
  checkPeriod(from, to);
  const register = registerOf(desk, from, to, 'read');
  return { ...saidOf(desk, register), ...registerRows(desk, register, status, skip, count) };
};
