import type { z } from 'zod';
import type { SegmentId } from '../contract/ids.ts';
import { refuse } from '../contract/problem.ts';
import type { ComplianceRow } from '../contract/shapes/evidence.ts';
import { type Counts, count, noCounts, type Obligation, obligationsOf } from '../evidence/compliance.ts';
import type { RuleVersion } from '../evidence/due.ts';
import { counted } from '../report/counted.ts';
import { csvText } from '../report/csv.ts';
import { type ExcuseRow, excuses, type LifeRow, testDays } from '../store/compliance.ts';
import { areaLives } from '../store/retest.ts';
import { agedExtrudedCautions } from '../trade/cautions.ts';
import type { Desk } from './desk.ts';
import { lifeOf } from './life-of.ts';
import { type PolicyShown, retestRules, shownOf } from './policies.ts';
import { dueBecause, ruleName } from './rule-words.ts';
import { resultsOfAll } from './test-results.ts';

type Row = z.infer<typeof ComplianceRow>;

export interface ComplianceOf {
  readonly asOf: string;
  readonly rules: PolicyShown[];
  readonly rows: Row[];
  readonly total: Counts;
  readonly bySubstation: { name: string; counts: Counts }[];
  readonly byFeeder: { name: string; substation: string; counts: Counts }[];
  readonly unknown: string[];
}

/** Wherever tests are said to be due: which test it is must not be read into it. */
export const complianceCaution = `That a test is due does not say which. ${agedExtrudedCautions.map((one) => one.says).join(' ')} The standards of the IEEE 400 family and licensed practice decide.`;

export const checkPeriod = (from: string, to: string): void => {
  if (from > to) throw refuse('bad-input', `The period ends on ${to}, before it begins on ${from}.`, { where: 'to' });
};

const grouped = <T>(rows: readonly T[], key: (row: T) => string): Map<string, T[]> => Map.groupBy(rows, key);

export type RegisterRow = Row;

/** A row of the register; `own` are the segment's tests, by day. */
export const registerRow = (
  segment: LifeRow,
  own: readonly (readonly [testedOn: string, ownerId: string])[],
  one: Obligation<ExcuseRow>,
): Row => ({
  segmentId: segment.id as SegmentId,
  segment: segment.name,
  segmentOwnerId: segment.ownerId,
  feeder: segment.feeder,
  substation: segment.substation,
  rule: ruleName(one.version),
  because: dueBecause(one.due),
  dueOn: one.dueOn,
  since: one.since,
  doneOn: one.done === null ? null : own[one.done]![0],
  testOwnerId: one.done === null ? null : own[one.done]![1],
  daysLate: one.daysLate,
  status: one.status,
  excuse: one.excuse && {
    reason: one.excuse.reason,
    until: one.excuse.until,
    by: one.excuse.by,
    at: one.excuse.at,
  },
});

/** Every test due or done in a period, by substation, feeder and segment. */
export function complianceOf(desk: Desk, from: string, to: string, day: string): ComplianceOf {
  const { fleet } = desk;
  const asOf = day < to ? day : to;
  const rules = retestRules(fleet);
  const tests = new Map<string, [testedOn: string, ownerId: string][]>();
  for (const [segmentId, testedOn, ownerId] of testDays(fleet))
    atOrNew(tests, segmentId, () => []).push([testedOn, ownerId]);
  const excused = grouped(excuses(fleet), (row) => row.segmentId);
  const results = resultsOfAll(desk, rules.versions, '9999-12-31');
  const rows: Row[] = [];
  const unknown: string[] = [];
  const total = noCounts();
  const substations = new Map<string, Counts>();
  const feeders = new Map<string, { substation: string; name: string; counts: Counts }>();
  const used = new Set<RuleVersion>();
  for (const segment of areaLives(fleet)) {
    const own = tests.get(segment.id) ?? [];
    const days = own.map(([testedOn]) => testedOn);
    const found = obligationsOf<ExcuseRow>(
      lifeOf(segment),
      days,
      rules.versions,
      excused.get(segment.id) ?? [],
      { from, to, asOf },
      results(segment.id),
    );
    if (found === null) {
      if (segment.retiredOn === null || segment.retiredOn >= from) unknown.push(segment.ownerId);
      continue;
    }
    if (found.length === 0) continue;
    const bySubstation = atOrNew(substations, segment.substation, noCounts);
    const feederKey = JSON.stringify([segment.substation, segment.feeder]);
    const byFeeder = atOrNew(feeders, feederKey, () => ({
      substation: segment.substation,
      name: segment.feeder,
      counts: noCounts(),
    }));
    for (const one of found) {
      for (const counts of [total, bySubstation, byFeeder.counts]) count(counts, one.status);
      used.add(one.version);
      rows.push(registerRow(segment, own, one));
    }
  }
  return {
    asOf,
    rules: shownOf(rules.shown, used),
    rows,
    total,
    bySubstation: [...substations].map(([name, counts]) => ({ name, counts })),
    byFeeder: [...feeders.values()],
    unknown,
  };
}

function atOrNew<T>(map: Map<string, T>, key: string, make: () => T): T {
  let value = map.get(key);
  if (value === undefined) {
    value = make();
    map.set(key, value);
  }
  return value;
}

export function complianceSentence(
  { total, asOf }: Pick<ComplianceOf, 'total' | 'asOf'>,
  from: string,
  to: string,
): string {
  if (total.due === 0) return `From ${from} to ${to} no test was due and none was done.`;
  const done = total.onTime + total.early;
  const rest = [
    total.late > 0 ? `${counted(total.late)} late` : '',
    total.missing > 0 ? `${counted(total.missing)} missing` : '',
    total.excused > 0 ? `${counted(total.excused)} excused` : '',
    total.open > 0 ? `${counted(total.open)} still open on ${asOf}` : '',
  ].filter((words) => words !== '');
  return `Of ${counted(total.due)} tests due or done from ${from} to ${to}, ${counted(done)} were done in time${rest.length > 0 ? `; ${rest.join(', ')}` : ''}.`;
}

const csvHeader =
  'substation,feeder,segment_id,segment,rule,due_on,counted_from,done_on,test_id,days_late,status,excused_by,excused_at,excused_until,excuse,because'.split(
    ',',
  );

export const complianceCsv = (rows: readonly Row[]): string =>
  csvText([
    csvHeader,
    ...rows.map((row) => [
      row.substation,
      row.feeder,
      row.segmentOwnerId,
      row.segment,
      row.rule,
      row.dueOn,
      row.since,
      row.doneOn ?? '',
      row.testOwnerId ?? '',
      row.daysLate === null ? '' : `${row.daysLate}`,
      row.status,
      row.excuse?.by ?? '',
      row.excuse?.at ?? '',
      row.excuse?.until ?? '',
      row.excuse?.reason ?? '',
      row.because,
    ]),
  ]);
