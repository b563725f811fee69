import type { Finding, findingsAsks } from '../contract/asks/findings.ts';
import type { OutputOf } from '../contract/asks/index.ts';
import { refuse } from '../contract/problem.ts';
import { csvText } from '../report/csv.ts';
import { revisionOf } from '../store/ledger.ts';
import { treatmentOf, verdictFor } from '../store/verdicts.ts';
import { type Change, changing } from './change.ts';
import { today } from './desk.ts';
import { findingsAsOf, findingsFor, type MadeFinding } from './findings-made.ts';
import { writeOut } from './out-file.ts';
import { needRole } from './roles.ts';
import type { TasksOf } from './task.ts';

function summary(findings: readonly Finding[]): OutputOf<'findings.list'>['sentence'] {
  if (findings.length === 0) return 'Nothing in the data looks wrong.';
  const counts = new Map<string, number>();
  for (const finding of findings) counts.set(finding.kind, (counts.get(finding.kind) ?? 0) + 1);
  const open = findings.filter((finding) => finding.verdict === null).length;
  const kinds = [...counts].sort((a, b) => b[1] - a[1]).map(([kind, n]) => `${kind} ${n}`);
  return `${findings.length} findings, ${open} without a verdict: ${kinds.join(', ')}.`;
}

const csvHeader =
  'kind,certainty,segment_id,test_id,tested_on,phase,seen,would_change,until_judged,growth_now_pct_per_yr,rank_now,growth_accepted_pct_per_yr,rank_accepted,growth_dismissed_pct_per_yr,rank_dismissed,verdict,reason,who,on'.split(
    ',',
  );

function csvRow(finding: Finding): string[] {
  const { places, verdict } = finding;
  const place = (one: NonNullable<Finding['places']>['now'] | undefined) =>
    one ? [String(Number(one.growthPctPerYr.toFixed(3))), String(one.rank)] : ['', ''];
  return [
    finding.kind,
    finding.certainty,
    finding.segment?.ownerId ?? '',
    finding.testOwnerId ?? '',
    finding.on ?? '',
    finding.phase ?? '',
    finding.seen,
    finding.effect,
    finding.untilJudged,
    ...place(places?.now),
    ...place(places?.accepted),
    ...place(places?.dismissed),
    verdict?.verdict ?? '',
    verdict?.reason ?? '',
    verdict?.who ?? '',
    verdict?.on ?? '',
  ];
}

type Verdict = { verdict: 'accepted' | 'dismissed'; reason: string };

/** Writes a verdict and what it does; false where nothing is known to do. Throws nothing: an equal verdict is left. */
function give(change: Change, key: string, given: Verdict, made: MadeFinding['treatment'] | undefined) {
  const { fleet } = change.desk;
  const before = verdictFor(fleet, key);
  const after = { finding_key: key, ...given };
  const id = before ? before.id : change.add('finding_verdict', after);
  if (before) change.update('finding_verdict', before, { id, ...after });
  // What was decided once stays what it was about, though the finding may be seen otherwise by now.
  if (made && !treatmentOf(fleet, key)) {
    change.add('treatment', {
      finding_key: key,
      kind: made.kind,
      segment_id: made.segmentId,
      instrument_id: made.instrumentId,
      what: JSON.stringify(made.what),
    });
  }
  return { id, before, after };
}

export const findingsTasks: TasksOf<keyof typeof findingsAsks> = {
  'findings.list'(desk, { asOf, csv }) {
    const findings = findingsAsOf(desk, asOf ?? today(desk)).map((made) => made.finding);
    if (csv !== undefined) writeOut(desk.fleet, csv, csvText([csvHeader, ...findings.map(csvRow)]));
    return { sentence: summary(findings), findings, written: csv === undefined ? [] : [csv] };
  },

  'finding.decide'(desk, { keys, verdict, reason }) {
    needRole(desk, 'approver', 'Judging a finding');
    const { fleet } = desk;
    const unheard = !fleet.readOnly && keys.some((key) => !treatmentOf(fleet, key));
    const made = new Map(
      unheard ? findingsFor(desk, today(desk)).map(({ finding, treatment }) => [finding.key, treatment]) : [],
    );
    const changed = changing(desk, (change) => {
      const wanted = [...new Set(keys)].filter((key) => {
        const before = verdictFor(fleet, key);
        return before?.verdict !== verdict || before.reason !== reason || (made.get(key) && !treatmentOf(fleet, key));
      });
      if (wanted.length === 0) throw refuse('bad-input', 'This verdict is already given.', { where: 'verdict' });
      const given = wanted.map((key) => give(change, key, { verdict, reason }, made.get(key)));
      const many = wanted.length > 1 ? ` ${wanted.length} findings` : ' finding';
      const { id, before, after } = given[0]!;
      change.seal(
        { what: `${verdict === 'accepted' ? 'accept' : 'dismiss'}${many}`, why: reason },
        given.length > 1
          ? undefined
          : {
              entity: 'finding_verdict',
              id,
              before: before ? { verdict: before.verdict, reason: before.reason } : null,
              after,
            },
        given.length > 1 ? { verdict, reason, findings: wanted } : undefined,
      );
      return wanted;
    });
    return { revision: revisionOf(fleet), changing: changed.filter((key) => treatmentOf(fleet, key)).length };
  },
};
