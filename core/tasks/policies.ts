import type { z } from 'zod';
import { refuse } from '../contract/problem.ts';
import { type PolicyVersion, RetestRule } from '../contract/shapes/evidence.ts';
import { canonicalJson, type Json } from '../evidence/canonical.ts';
import { defaultRetestRule, defaultRetestSource, defaultRetestWords } from '../evidence/default-rule.ts';
import type { RuleVersion } from '../evidence/due.ts';
import { type PolicyRow, policies } from '../store/compliance.ts';
import { recordById } from '../store/records.ts';
import type { Fleet } from '../store/sql.ts';
import { changing } from './change.ts';
import { needRole } from './roles.ts';
import type { TasksOf } from './task.ts';

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
  const chosen: { rule: RuleVersion; shown: PolicyShown }[] = [];
  for (const version of policyVersions(fleet).filter((one) => one.subject === retestSubject)) {
    while (chosen.length > 0 && chosen.at(-1)!.rule.inForceFrom >= version.inForceFrom) chosen.pop();
    const parsed = RetestRule.safeParse(JSON.parse(version.rule));
    if (!parsed.success)
      throw refuse(
        'broken-file',
        `Version ${version.version} of the rule on retest intervals cannot be read: run verify.`,
      );
    chosen.push({
      rule: { version: version.version, inForceFrom: version.inForceFrom, rule: parsed.data },
      shown: version,
    });
  }
  return { versions: chosen.map((one) => one.rule), shown: chosen.map((one) => one.shown) };
}

export const policyTasks: TasksOf<'policy.list' | 'policy.setRetest' | 'excuse.add'> = {
  'policy.list': ({ fleet }) => ({ versions: policyVersions(fleet) }),

  'policy.setRetest': (desk, { rule, words, source, inForceFrom, reason }) => {
    needRole(desk, 'approver', 'Setting a rule');
    return changing(desk, (change) => {
      const own = policies(desk.fleet).filter((row) => row.subject === retestSubject);
      const before = own.at(-1);
      const version = (before?.version ?? 0) + 1;
      const row = {
        subject: retestSubject,
        version,
        in_force_from: inForceFrom,
        rule: canonicalJson(rule as unknown as Json),
        words,
        source,
      };
      const id = change.add('policy', row);
      change.seal(
        { what: 'set rule', why: reason },
        {
          entity: 'policy',
          id,
          before: before ? { version: before.version, words: before.words, rule: before.rule } : null,
          after: row,
        },
      );
      return { version, revision: change.seq };
    });
  },

  'excuse.add': (desk, { segmentId, dueOn, until, reason }) => {
    needRole(desk, 'approver', 'Excusing a test');
    if (!recordById(desk.fleet, 'segment', segmentId))
      throw refuse('not-found', 'There is no such segment.', { where: 'segmentId' });
    if (until !== null && until < dueOn)
      throw refuse('bad-input', `The excuse would end on ${until}, before the test was due on ${dueOn}.`, {
        where: 'until',
      });
    return changing(desk, (change) => {
      const row = { segment_id: segmentId, due_on: dueOn, until, reason };
      const id = change.add('excuse', row);
      change.seal({ what: 'excuse test', why: reason }, { entity: 'excuse', id, before: null, after: row });
      return { id, revision: change.seq };
    });
  },
};
