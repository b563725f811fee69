import type { z } from 'zod';
import { refuse } from '../contract/problem.ts';
import { type PolicyVersion, RetestRule } from '../contract/shapes/evidence.ts';
import { canonicalJson, type Json } from '../evidence/canonical.ts';
import { defaultRetestRule, defaultRetestSource, defaultRetestWords } from '../evidence/default-rule.ts';
import type { RuleVersion } from '../evidence/due.ts';
import { leakageLimits } from '../store/columns.ts';
import { limitsThroughTime, type PolicyRow, policies } from '../store/compliance.ts';
import type { Fleet } from '../store/sql.ts';

export type PolicyShown = z.infer<typeof PolicyVersion>;

/** The subject of the rule on retest intervals. */
export const retestSubject = 'retest interval';

const ourDefault: PolicyShown = {
  subject: retestSubject,
  version: 0,
  inForceFrom: '1900-01-01',
  words: defaultRetestWords,
  source: defaultRetestSource,
  rule: canonicalJson(defaultRetestRule as unknown as Json),
  set: false,
  by: null,
  at: null,
};

const shown = (row: PolicyRow): PolicyShown => ({
  subject: row.subject,
  version: row.version,
  inForceFrom: row.in_force_from,
  words: row.words,
  source: row.source,
  rule: row.rule,
  set: true,
  by: row.by,
  at: row.at,
});

/** All versions of all rules; our default stands as version 0 before the owner's first. */
export const policyVersions = (fleet: Fleet): PolicyShown[] => [ourDefault, ...policies(fleet).map(shown)];

/**
 * Versions of the retest rule in the order in which they came into force, to count due days by; our default until the
 * owner's first. A later version for the same or an earlier day replaces those from that day on.
 */
export function retestRules(fleet: Fleet): { readonly versions: RuleVersion[]; readonly shown: PolicyShown[] } {
  let chosen = defaultThroughTime(fleet).map((rule) => ({ rule, shown: ourDefault }));
  for (const shownAs of policies(fleet).map(shown)) {
    if (shownAs.subject !== retestSubject) continue;
    const parsed = RetestRule.safeParse(JSON.parse(shownAs.rule));
    if (!parsed.success)
      throw refuse(
        'broken-file',
        `Version ${shownAs.version} of the rule on retest intervals cannot be read: run verify.`,
      );
    const { version, inForceFrom } = shownAs;
    chosen = [
      ...chosen.filter((one) => one.rule.inForceFrom < inForceFrom),
      { rule: { version, inForceFrom, rule: parsed.data }, shown: shownAs },
    ];
  }
  return { versions: chosen.map((one) => one.rule), shown: [...new Set(chosen.map((one) => one.shown))] };
}

/** Our default with the limits as they stood: one that is set today moves no day that was due before. */
function defaultThroughTime(fleet: Fleet): RuleVersion[] {
  const version = { version: 0, inForceFrom: ourDefault.inForceFrom, rule: defaultRetestRule };
  const since = Map.groupBy(limitsThroughTime(fleet), ({ at }) => at.slice(0, 10) || version.inForceFrom);
  if (![...since.keys()].some((day) => day > version.inForceFrom)) return [version];
  const limits = new Map<string, number>();
  const through: RuleVersion[] = [];
  for (const inForceFrom of new Set([version.inForceFrom, ...since.keys()])) {
    for (const { insulation, limitNsPerKm } of since.get(inForceFrom) ?? [])
      if (limitNsPerKm !== null) limits.set(insulation, limitNsPerKm);
    through.push({
      ...version,
      inForceFrom,
      rule: { ...defaultRetestRule, limitsNsPerKm: Object.fromEntries(limits) },
    });
  }
  return through;
}

/** The versions as they would be with one more. */
export const withVersion = (versions: readonly RuleVersion[], next: RuleVersion): RuleVersion[] => [
  ...versions.filter((one) => one.inForceFrom < next.inForceFrom),
  next,
];

/** The number a further version of the rule would have. */
export const nextVersion = (fleet: Fleet): number =>
  1 + Math.max(0, ...policyVersions(fleet).map((one) => (one.subject === retestSubject ? one.version : 0)));

type Rule = z.infer<typeof RetestRule>;

const asksForLevel = ({ cases }: Rule): boolean => cases.some(({ when }) => when.last?.levelOver !== undefined);

/** A rule with the owner's limits of today, where it counts by limits; what it stood on before is dropped. */
export function withLimits({ limitsNsPerKm: _, ...rule }: Rule, fleet: Fleet): Rule {
  if (!asksForLevel(rule)) return rule;
  return {
    ...rule,
    limitsNsPerKm: Object.fromEntries(leakageLimits(fleet).map((row) => [row.insulation, row.limitNsPerKm])),
  };
}
