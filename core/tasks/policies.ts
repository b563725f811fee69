import type { z } from 'zod';
import { refuse } from '../contract/problem.ts';
import { type PolicyVersion, RetestRule } from '../contract/shapes/evidence.ts';
import { canonicalJson, type Json } from '../evidence/canonical.ts';
import { defaultRetestEditions } from '../evidence/default-rule.ts';
import type { RuleVersion } from '../evidence/due.ts';
import { leakageLimits } from '../store/columns.ts';
import { limitsThroughTime, type PolicyRow, policies } from '../store/compliance.ts';
import { revisionOf } from '../store/ledger.ts';
import type { RecordOf } from '../store/records.ts';
import type { Fleet } from '../store/sql.ts';
import { ruleName } from './rule-words.ts';

export type PolicyShown = z.infer<typeof PolicyVersion>;
type Rule = z.infer<typeof RetestRule>;

/** The subject of the rule on retest intervals. */
export const retestSubject = 'retest interval';

/** The subject of the editions of our default that a fleet has taken up. */
const defaultSubject = 'default retest interval';
/** What came with a fleet's first line holds for what its records tell of the years before it. */
const fromTheBeginning = '1900-01-01';

const shown = (row: PolicyRow): PolicyShown => ({
  subject: row.subject,
  version: row.version,
  edition: null,
  inForceFrom: row.in_force_from,
  words: row.words,
  source: row.source,
  rule: row.rule,
  set: true,
  by: row.by,
  at: row.at,
});

/** Editions of our default in this fleet: the first, and those its ledger took up. */
function defaultsShown(rows: readonly PolicyRow[]): PolicyShown[] {
  const [{ edition, rule, words, source }] = defaultRetestEditions;
  const text = canonicalJson(rule as unknown as Json);
  const ours = { subject: retestSubject, version: 0, set: false };
  const taken = rows.filter((row) => row.subject === defaultSubject);
  return [
    { ...ours, edition, inForceFrom: fromTheBeginning, words, source, rule: text, by: null, at: null },
    ...taken.map((row) => ({ ...shown(row), ...ours, edition: row.version })),
  ];
}

/** The edition that this program brings and the fleet has not taken up yet, as the record to write; null where it has. */
export function editionToTakeUp(fleet: Fleet, day: string): Omit<RecordOf<'policy'>, 'id'> | null {
  const { edition, rule, words, source } = defaultRetestEditions.at(-1)!;
  if (edition === defaultRetestEditions[0].edition) return null;
  if (policies(fleet).some((row) => row.subject === defaultSubject && row.version >= edition)) return null;
  return {
    subject: defaultSubject,
    version: edition,
    in_force_from: revisionOf(fleet) === 0 ? fromTheBeginning : day,
    rule: canonicalJson(rule as unknown as Json),
    words,
    source,
  };
}

/** All versions of all rules; the editions of our default stand as version 0 before the owner's first. */
export function policyVersions(fleet: Fleet): PolicyShown[] {
  const rows = policies(fleet);
  return [...defaultsShown(rows), ...rows.filter((row) => row.subject !== defaultSubject).map(shown)];
}

/**
 * Versions of the retest rule in the order in which they came into force, to count due days by; our default until the
 * owner's first. A later version for the same or an earlier day replaces those from that day on.
 */
export function retestRules(fleet: Fleet): { readonly versions: RuleVersion[]; readonly shown: PolicyShown[] } {
  const rows = policies(fleet);
  let chosen = defaultThroughTime(fleet, defaultsShown(rows));
  for (const shownAs of rows.filter((row) => row.subject === retestSubject).map(shown)) {
    const { version, inForceFrom } = shownAs;
    chosen = [
      ...chosen.filter((one) => one.rule.inForceFrom < inForceFrom),
      { rule: { version, inForceFrom, rule: ruleOf(shownAs) }, shown: shownAs },
    ];
  }
  return { versions: chosen.map((one) => one.rule), shown: [...new Set(chosen.map((one) => one.shown))] };
}

/** Those of the rules shown by which something was counted. */
export function shownOf(rules: readonly PolicyShown[], counted: Iterable<RuleVersion>): PolicyShown[] {
  const names = new Set(Array.from(counted, ruleName));
  return rules.filter((rule) => names.has(ruleName(rule)));
}

function ruleOf(shownAs: PolicyShown): Rule {
  const parsed = RetestRule.safeParse(JSON.parse(shownAs.rule));
  if (parsed.success) return parsed.data;
  throw refuse('broken-file', `The rule on retest intervals, ${ruleName(shownAs)}, cannot be read: run verify.`);
}

interface Chosen {
  readonly rule: RuleVersion;
  readonly shown: PolicyShown;
}

/** Our default by its editions and with the limits as they stood: one that is set today moves no day that was due before. */
function defaultThroughTime(fleet: Fleet, editions: readonly PolicyShown[]): Chosen[] {
  const since = Map.groupBy(limitsThroughTime(fleet), ({ at }) => at.slice(0, 10) || fromTheBeginning);
  const limitsMoved = [...since.keys()].some((day) => day > fromTheBeginning);
  const days = new Set([...editions.map((one) => one.inForceFrom), ...(limitsMoved ? since.keys() : [])]);
  const limits = new Map<string, number>();
  return [...days].sort().map((inForceFrom) => {
    for (const { insulation, limitNsPerKm } of since.get(inForceFrom) ?? [])
      if (limitNsPerKm !== null) limits.set(insulation, limitNsPerKm);
    const shownAs = editions.findLast((one) => one.inForceFrom <= inForceFrom)!;
    const rule = { ...ruleOf(shownAs), ...(limitsMoved ? { limitsNsPerKm: Object.fromEntries(limits) } : {}) };
    return { rule: { version: 0, edition: shownAs.edition ?? undefined, inForceFrom, rule }, shown: shownAs };
  });
}

/** The versions as they would be with one more. */
export const withVersion = (versions: readonly RuleVersion[], next: RuleVersion): RuleVersion[] => [
  ...versions.filter((one) => one.inForceFrom < next.inForceFrom),
  next,
];

/** The number a further version of the rule would have. */
export const nextVersion = (fleet: Fleet): number =>
  1 + Math.max(0, ...policyVersions(fleet).map((one) => (one.subject === retestSubject ? one.version : 0)));

const asksForLevel = ({ cases }: Rule): boolean => cases.some(({ when }) => when.last?.levelOver !== undefined);

/** A rule with the owner's limits of today, where it counts by limits; what it stood on before is dropped. */
export function withLimits({ limitsNsPerKm: _, ...rule }: Rule, fleet: Fleet): Rule {
  if (!asksForLevel(rule)) return rule;
  return {
    ...rule,
    limitsNsPerKm: Object.fromEntries(leakageLimits(fleet).map((row) => [row.insulation, row.limitNsPerKm])),
  };
}
