import type { KnownBefore, RuleVersion, StandingVersion } from './due.ts';

/** Versions of the rule, parted further where what was known of the segment changed: each with what was known then. */
export function versionsKnown(
  versions: readonly RuleVersion[],
  before: readonly KnownBefore[],
): readonly StandingVersion[] {
  const first = versions[0]!.inForceFrom;
  const edited = before.flatMap(({ from, until }) => [from, until]).filter((day) => day > first);
  const days = new Set([...versions.map((one) => one.inForceFrom), ...edited]);
  return [...days].sort().map((day) => {
    const version = versions.findLast((one) => one.inForceFrom <= day)!;
    const known = before.find(({ from, until }) => from <= day && day < until);
    return { ...version, inForceFrom: day, of: version, known };
  });
}
