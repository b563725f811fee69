import type { Finding, FindingKind } from '../../core/growth/findings/finding.ts';
import { eventsOf, type SimulatedFleet, simulateFleet } from './simulatedFleet.ts';

export const of = (findings: readonly Finding[], kind: FindingKind): Finding[] =>
  findings.filter((f) => f.kind === kind);
export const readingsOf = (findings: readonly Finding[]): Set<number> => new Set(findings.flatMap((f) => f.readings));

export const factorOf = ({ cure }: Finding): number => (cure.do === 'multiply' ? cure.factor : Number.NaN);

/** Every n-th event of a fleet, not those of the very first segments. */
export function someEvents(fleet: SimulatedFleet, every: number): [number, number][] {
  return eventsOf(fleet).filter((_, e) => e % every === every - 1);
}

/** Share of the places that were found, and share of what was found that is none of the places. */
export function score(places: ReadonlySet<number>, found: ReadonlySet<number>): { found: number; false: number } {
  const hit = [...found].filter((r) => places.has(r)).length;
  return { found: hit / places.size, false: found.size === 0 ? 0 : (found.size - hit) / found.size };
}

/** A fleet with a whole test in forty written a thousand times too high. */
export function spoilt(): SimulatedFleet {
  const fleet = simulateFleet(400, 11);
  for (const [from, to] of someEvents(fleet, 40)) for (let r = from; r < to; r++) fleet.readings.leakageUa[r]! *= 1000;
  return fleet;
}
