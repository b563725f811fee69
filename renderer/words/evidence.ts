import type { z } from 'zod';
import type { OutputOf } from '../../core/contract/asks/index.ts';
import type {
  ComplianceRow as ComplianceRowShape,
  FieldChange as FieldChangeShape,
  StatusCounts as StatusCountsShape,
} from '../../core/contract/shapes/evidence.ts';
import { whole } from './numbers.ts';

export type ComplianceRow = z.infer<typeof ComplianceRowShape>;
export type FieldChange = z.infer<typeof FieldChangeShape>;
export type StatusCounts = z.infer<typeof StatusCountsShape>;
export type PolicyVersion = OutputOf<'policy.list'>['versions'][number];
export type LedgerEntry = OutputOf<'ledger.page'>['entries'][number];

export const evidenceSections = {
  register: 'Due and done',
  calibration: 'Calibration',
  records: 'Completeness',
  ledger: 'Ledger',
  people: 'People',
  sample: 'Sample',
  verify: 'Verify',
} as const;
export type EvidenceSection = keyof typeof evidenceSections;

/** The counts of a group in the order of the table's columns. */
export const countCells = (counts: StatusCounts): string[] =>
  [counts.due, counts.onTime, counts.early, counts.late, counts.missing, counts.excused, counts.open].map(whole);

export const countHeads = ['Due', 'On time', 'Early', 'Late', 'Missing', 'Excused', 'Open'] as const;

/** When it was done, against the day it was due. */
export function doneWords(row: ComplianceRow): string {
  if (row.doneOn === null) return '–';
  if (row.daysLate === null || row.daysLate === 0) return row.doneOn;
  return row.daysLate > 0
    ? `${row.doneOn}, ${whole(row.daysLate)} d late`
    : `${row.doneOn}, ${whole(-row.daysLate)} d early`;
}

/** What the due day was counted from, and by which line of the rule: '2021-09-13, version 1: 36 months, no line of the rule fits'. */
export const countedWords = (row: ComplianceRow): string => `${row.since}, ${row.rule}: ${row.because}`;

/** The same where one rule alone counts: it stands below the register. */
export const countedShort = (row: ComplianceRow): string => `${row.since}: ${row.because}`;

/** Who set a version of a rule and when; where only after it was to count, that too: it may have made late tests timely. */
export function setWords({ set: owners, version, edition, inForceFrom, by, at }: PolicyVersion): string {
  if (!owners) {
    const taken = at === null ? '' : `, in force from ${inForceFrom}`;
    return `Our default, edition ${edition}${taken}, where the owner has set none.`;
  }
  const afterwards = at !== null && at.slice(0, 10) > inForceFrom ? ', after that day' : '';
  const set = by === null ? '' : `, set by ${by}${at === null ? '' : ` on ${at.slice(0, 10)}`}${afterwards}`;
  return `Version ${version}, in force from ${inForceFrom}${set}.`;
}

const cell = (value: string | number | null): string => (value === null || value === '' ? 'nothing' : String(value));

/** 'length_m: 412 became 415'. */
export const changeWords = (change: FieldChange): string =>
  `${change.field.replaceAll('_', ' ')}: ${cell(change.before)} became ${cell(change.after)}`;

/** '2026-11-25 08:41' of an ISO moment, in UTC as the ledger holds it. */
export const moment = (at: string): string => at.slice(0, 16).replace('T', ' ');

/** A hash in groups of eight, so that it can be read aloud against a sheet of paper. */
export const hashWords = (hash: string): string => hash.match(/.{1,8}/g)?.join(' ') ?? hash;

/** The last part of a path. */
export const fileName = (path: string): string => path.split(/[\\/]/).at(-1) ?? path;

/** 'ledgerLines' as people write it: 'ledger lines'. */
export const apart = (name: string): string => name.replaceAll(/[A-Z]/g, (letter) => ` ${letter.toLowerCase()}`);

export const roles = ['reader', 'recorder', 'approver'] as const;
export type Role = (typeof roles)[number];

/** What a role may do, after a name: 'A. Miller may …'. */
export const roleMay: Readonly<Record<Role, string>> = {
  reader: 'may look at everything and change nothing',
  recorder: 'may record tests, work and failures, import and edit',
  approver:
    'may do all that, set rules, limits and money figures, judge findings, excuse tests, sign the ledger, approve plans and name people',
};

/** 'Harrow Mill, Lime Pits'. */
export const placeOf = (row: { readonly substation: string; readonly feeder: string }): string =>
  `${row.substation}, ${row.feeder}`;
