import { RetestRule } from '../contract/shapes/evidence.ts';
import { Insulation } from '../contract/shapes/trade.ts';
import { canonicalJson, type Json } from '../evidence/canonical.ts';
import { segmentsByInsulation } from '../store/columns.ts';
import { policies } from '../store/compliance.ts';
import { limitFor } from '../store/import.ts';
import { defaultLimit } from '../trade/limits.ts';
import { sourceWords } from '../trade/source.ts';
import { type Change, changing } from './change.ts';
import { today } from './desk.ts';
import { nextVersion, retestRules, retestSubject, withLimits } from './policies.ts';
import { needRole } from './roles.ts';
import { ruleWords } from './rule-words.ts';
import type { Task } from './task.ts';

export const limitsTask: Task<'policy.limits'> = ({ fleet }) => {
  const used = new Map(segmentsByInsulation(fleet).map((row) => [row.insulation, row.segments]));
  return {
    limits: Insulation.options.map((insulation) => {
      const segments = used.get(insulation) ?? 0;
      const own = limitFor(fleet, insulation);
      if (own)
        return {
          insulation,
          nsPerKm: own.limit_ns_per_km,
          owners: true,
          source: own.source,
          setOn: own.set_on,
          segments,
        };
      const ours = defaultLimit({ insulation, conductorDiameterMm: null, insulationThicknessMm: null });
      return {
        insulation,
        nsPerKm: ours.known ? ours.value.nsPerKm : null,
        owners: false,
        source: ours.known ? sourceWords(ours.value.source) : ours.because,
        setOn: null,
        segments,
      };
    }),
  };
};

export const setLimitsTask: Task<'policy.setLimits'> = (desk, { limits, source, reason }) => {
  needRole(desk, 'approver', 'Setting a limit');
  const { fleet } = desk;
  return changing(desk, (change) => {
    const before: Record<string, number | null> = {};
    const after: Record<string, number> = {};
    const setOn = today(desk);
    // The last of two for one insulation counts, as in a table that is read from above.
    for (const [insulation, nsPerKm] of new Map(limits.map((each) => [each.insulation, each.nsPerKm]))) {
      const old = limitFor(fleet, insulation);
      before[insulation] = old?.limit_ns_per_km ?? null;
      after[insulation] = nsPerKm;
      const row = { insulation, limit_ns_per_km: nsPerKm, source, set_on: setOn };
      if (old) change.update('leakage_limit', old, { ...row, id: old.id });
      else change.add('leakage_limit', row);
    }
    const version = followWithRule(change, setOn, source);
    change.seal({ what: 'set limits', why: reason }, undefined, { before, after, ...(version ? { version } : {}) });
    return { set: Object.keys(after).length, revision: change.seq };
  });
};

/**
 * Where the owner's rule counts by the limits, a further version of it carries the new ones from today on: due days
 * that lie before keep the limits of their time. Gives its number; null where no version is needed.
 */
function followWithRule(change: Change, day: string, source: string): number | null {
  const { fleet } = change.desk;
  const { shown, versions } = retestRules(fleet);
  const last = versions.at(-1)!;
  const before = policies(fleet).find((row) => row.subject === retestSubject && row.version === last.version);
  if (!before) return null;
  const rule = withLimits(RetestRule.parse(JSON.parse(shown.at(-1)!.rule)), fleet);
  const text = canonicalJson(rule as unknown as Json);
  if (text === before.rule) return null;
  const version = nextVersion(fleet);
  change.add('policy', {
    subject: retestSubject,
    version,
    in_force_from: day > last.inForceFrom ? day : last.inForceFrom,
    rule: text,
    words: ruleWords(rule),
    source: `${before.source}; limits: ${source}`.slice(0, 1000),
  });
  return version;
}
