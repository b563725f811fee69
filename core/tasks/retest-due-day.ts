import type { DueState } from '../contract/shapes/retest.ts';
import { obligationsOf } from '../evidence/compliance.ts';
import { daysBetween, type Results, type RuleVersion, type VersionedDue } from '../evidence/due.ts';
import type { ExcuseRow } from '../store/compliance.ts';
import type { AreaLifeRow } from '../store/retest.ts';

/** The test of a segment that is due next, by the same counting as the register of the evidence. */
export interface NextDue {
  readonly life: AreaLifeRow;
  readonly lastTestedOn: string | null;
  readonly since: string;
  readonly dueOn: string;
  readonly daysLeft: number;
  readonly state: DueState;
  readonly inGrace: boolean;
  readonly version: RuleVersion;
  readonly due: VersionedDue;
  readonly excuse: ExcuseRow | null;
}

const yesNo = (value: number | null) => (value === null ? null : value === 1);
const farAhead = '9999-12-31';

/** Null where the segment is out of service by then or retires before; 'unknown' where no due day can be told. */
export function nextDue(
  life: AreaLifeRow,
  lastTestedOn: string | null,
  rules: readonly RuleVersion[],
  excuses: readonly ExcuseRow[],
  on: string,
  results: Results,
): NextDue | 'unknown' | null {
  if (life.retiredOn !== null && life.retiredOn <= on) return null;
  const ruled = { ...life, criticalLoad: yesNo(life.criticalLoad), alternateSupply: yesNo(life.alternateSupply) };
  const done = lastTestedOn === null ? [] : [lastTestedOn];
  const found = obligationsOf(ruled, done, rules, excuses, { from: on, to: farAhead, asOf: on }, results);
  if (found === null) return 'unknown';
  const open = found.find((one) => one.done === null);
  if (!open) return null;
  const daysLeft = daysBetween(on, open.dueOn);
  return {
    life,
    lastTestedOn,
    since: open.since,
    dueOn: open.dueOn,
    daysLeft,
    state: stateOf(daysLeft),
    inGrace: daysLeft < 0 && -daysLeft <= open.version.rule.graceDays,
    version: open.version,
    due: open.due,
    excuse: open.status === 'excused' || daysLeft >= 0 ? open.excuse : null,
  };
}

export function stateOf(daysLeft: number): DueState {
  if (daysLeft < 0) return 'overdue';
  if (daysLeft <= 30) return 'within 30 days';
  if (daysLeft <= 90) return 'within 90 days';
  return daysLeft <= 365 ? 'within 365 days' : 'later';
}
