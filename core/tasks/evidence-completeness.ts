import type { OutputOf } from '../contract/asks/index.ts';
import { counted } from '../report/counted.ts';
import { csvText } from '../report/csv.ts';
import { type HeldColumn, heldByTests } from '../store/evidence.ts';
import type { Fleet } from '../store/sql.ts';
import { recordFields } from '../trade/record-fields.ts';
import { sourceWords } from '../trade/source.ts';
import type { Desk } from './desk.ts';
import { checkPeriod } from './evidence-compliance.ts';
import { keptKind } from './kept-answers.ts';
import { keptOfPeriod } from './kept-of-period.ts';
import { writeOut } from './out-file.ts';
import type { Task } from './task.ts';

type Answer = OutputOf<'evidence.completeness'>;

/** What the file holds for a field of a complete record. 'always': a record without it is refused. */
const heldFor: Readonly<Record<string, { readonly held: string; readonly by: HeldColumn | 'always' }>> = {
  'laboratory or crew': { held: 'crew of every reading', by: 'crew' },
  'asset id': { held: "the owner's id of the segment", by: 'always' },
  'from and to': { held: 'both ends of the segment', by: 'fromTo' },
  phase: { held: 'phase of every reading', by: 'always' },
  class: { held: 'rated voltage of the segment', by: 'ratedKv' },
  'insulation level': { held: 'insulation level of the segment', by: 'insulationLevel' },
  insulation: { held: "insulation family of the segment, other than 'other'", by: 'insulation' },
  'conductor size and material': { held: 'conductor area and material', by: 'conductor' },
  'diameters over and under the insulation': { held: 'conductor diameter and insulation thickness', by: 'diameters' },
  length: { held: 'length of the segment', by: 'always' },
  'splices and terminations with type and year': {
    held: 'a termination with kind and day at both ends',
    by: 'terminations',
  },
  'year installed': { held: 'first day in service', by: 'energised' },
  'acceptance, first five years, maintenance or after repair': { held: 'purpose of the test', by: 'purpose' },
  'date of test': { held: 'day of the test', by: 'always' },
  'cable temperature and how it was obtained': {
    held: 'insulation temperature (not how it was obtained)',
    by: 'cableTemp',
  },
  'ambient temperature': { held: 'ambient temperature', by: 'ambient' },
  'relative humidity': { held: 'relative humidity', by: 'humidity' },
  'make, model, serial': { held: "the instrument's serial number", by: 'serial' },
  'calibration date': { held: 'a calibration up to the day of the test', by: 'calibrated' },
  'calibration due date': { held: 'the day it was due again', by: 'calibrationDue' },
  'certificate number': { held: "the certificate's number", by: 'certificate' },
  'step voltages': { held: 'voltage of every reading', by: 'always' },
  'time in seconds': { held: 'dwell of every reading, minutes', by: 'dwell' },
  'current with unit and qualifier': { held: 'leakage with unit, and whether below the floor', by: 'always' },
  'verdict with the decision rule used': { held: 'outcome of every reading (not the decision rule)', by: 'outcome' },
  tester: { held: 'crew of every reading', by: 'crew' },
};

/** Demands that one row of the trade table splits into, beside those above. */
const besides: readonly { readonly field: string; readonly held: string; readonly by: HeldColumn }[] = [
  { field: 'splices and terminations with type and year', held: 'kind and day of every splice', by: 'splices' },
];

/** Records named for each field; the CSV names all. */
const named = 20;

export interface CompletenessOf extends Omit<Answer, 'written'> {
  readonly cells: string[][];
}

/** Raise the edition with every change of what it says. */
const kind = keptKind({
  name: 'completeness of records, edition 1',
  passesOver: [
    'substation',
    'feeder',
    'intervention',
    'failure',
    'source_file',
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
function completenessNow(desk: Desk, from: string, to: string): Omit<CompletenessOf, 'cells'> {
  const make = () => {
    const { cells: _, ...made } = completenessOf(desk.fleet, from, to);
    return made;
  };
  return keptOfPeriod(desk, kind, { from, to }, make, ({ tests, fields, notHeld }) =>
    sentenceOf(tests, fields, notHeld.length, from, to),
  );
}

/** What the test records of a period lack of what standards ask of one. */
export function completenessOf(fleet: Fleet, from: string, to: string): CompletenessOf {
  const rows = heldByTests(fleet, from, to);
  const fields: Answer['fields'] = [];
  const notHeld: Answer['notHeld'] = [];
  const cells: string[][] = [];
  const add = (group: string, field: string, source: string, held: string, by: HeldColumn | 'always') => {
    const lacking = by === 'always' ? [] : rows.filter((row) => row[by] === 0);
    fields.push({
      group,
      field,
      source,
      held,
      missing: lacking.length,
      first: lacking.slice(0, named).map((row) => row.ownerId),
    });
    for (const row of lacking) cells.push([row.ownerId, row.testedOn, group, field, held, source]);
  };
  for (const { group, field, source } of recordFields) {
    const holds = heldFor[field];
    if (!holds) notHeld.push({ group, field, source: sourceWords(source) });
    else {
      add(group, field, sourceWords(source), holds.held, holds.by);
      for (const more of besides) if (more.field === field) add(group, field, sourceWords(source), more.held, more.by);
    }
  }
  return {
    sentence: sentenceOf(rows.length, fields, notHeld.length, from, to),
    tests: rows.length,
    fields,
    notHeld,
    cells,
  };
}

function sentenceOf(tests: number, fields: Answer['fields'], notHeld: number, from: string, to: string): string {
  if (tests === 0) return `From ${from} to ${to} no test was made.`;
  const lacking = fields.filter((one) => one.missing > 0);
  const worst = lacking.toSorted((a, b) => b.missing - a.missing)[0];
  const most = worst
    ? ` Most often missing: ${worst.held}, in ${counted(worst.missing)} of ${counted(tests)} tests.`
    : '';
  return `Of ${fields.length} things asked of a record that this file can hold, the ${counted(tests)} tests from ${from} to ${to} lack ${lacking.length} at least once.${most} ${notHeld} more are asked for and have no place in the file; keep them with the report.`;
}

const csvHeader = 'test_id,tested_on,group,field,looked_for,asked_by'.split(',');
export const completenessCsv = ({ cells }: CompletenessOf): string => csvText([csvHeader, ...cells]);

export const completenessTask: Task<'evidence.completeness'> = (desk, { from, to, csv }) => {
  checkPeriod(from, to);
  if (csv === undefined) return { ...completenessNow(desk, from, to), written: [] };
  const { cells, ...answer } = completenessOf(desk.fleet, from, to);
  writeOut(desk.fleet, csv, completenessCsv({ cells, ...answer }));
  return { ...answer, written: [csv] };
};
