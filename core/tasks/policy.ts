import type { policyAsks } from '../contract/asks/policy.ts';
import { refuse } from '../contract/problem.ts';
import { canonicalJson, type Json } from '../evidence/canonical.ts';
import { policies } from '../store/compliance.ts';
import { recordById } from '../store/records.ts';
import { changing } from './change.ts';
import { policyVersions, retestSubject, withLimits } from './policies.ts';
import { limitsTask, setLimitsTask } from './policy-limits.ts';
import { previewTask } from './policy-preview.ts';
import { needRole } from './roles.ts';
import { ruleWords } from './rule-words.ts';
import type { TasksOf } from './task.ts';

export const policyTasks: TasksOf<keyof typeof policyAsks> = {
  'policy.list': ({ fleet }) => ({ versions: policyVersions(fleet) }),

  'policy.setRetest': (desk, { rule, words, source, inForceFrom, reason }) => {
    needRole(desk, 'approver', 'Setting a rule');
    return changing(desk, (change) => {
      const own = policies(desk.fleet).filter((row) => row.subject === retestSubject);
      const before = own.at(-1);
      const version = (before?.version ?? 0) + 1;
      const counted = withLimits(rule, desk.fleet);
      const row = {
        subject: retestSubject,
        version,
        in_force_from: inForceFrom,
        rule: canonicalJson(counted as unknown as Json),
        words: words ?? ruleWords(counted),
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

  'policy.previewRetest': previewTask,
  'policy.limits': limitsTask,
  'policy.setLimits': setLimitsTask,

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
