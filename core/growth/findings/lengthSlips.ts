import type { FleetColumns } from '../columns.ts';
import type { Comparable } from './comparable.ts';
import { type Finding, noGrowthEffect, roughly } from './finding.ts';

const feetPerMetre = 1 / 0.3048;
const lnFeet = Math.log(feetPerMetre);

/**
 * Units that are taken for each other: how much longer the length comes out, one in how many has it beforehand, and
 * how many segments must be in the cohort.
 */
const mistakes = [
  { factor: feetPerMetre, oneIn: 500, cohort: 30, units: 'feet and metres' },
  { factor: 1000, oneIn: 1000, cohort: 20, units: 'metres and kilometres' },
  { factor: 1000 * feetPerMetre, oneIn: 4000, cohort: 20, units: 'feet and kilometres' },
] as const;
const surely = 0.9;
/** What is left after the factor, in spreads of the cohort. */
const nearEnough = 2.5;

/**
 * Segments whose level stands off their cohort's by the factor between two units of length, 3.281 for feet and metres,
 * as if a length had been written in the other. Levels of sound cables differ nearly as much as 3.281, so that is a
 * hint to look at the length and never more; it speaks only in cohorts so even that chance is a poor explanation.
 * `level` is that of each segment, slips set right and drift taken out.
 */
export function findLengthSlips(fleet: FleetColumns, comparable: Comparable, level: Float64Array): Finding[] {
  const { events, cohortLevel, cohortSpread, cohortSize } = comparable;
  const findings: Finding[] = [];
  for (let s = 0; s < fleet.segments.count; s++) {
    const tests = events.ofSegment[s + 1]! - events.ofSegment[s]!;
    const spread = Math.hypot(cohortSpread[s]!, comparable.eventSpread / Math.sqrt(Math.max(1, tests)));
    const away = level[s]! - cohortLevel[s]!;
    if (!(Math.abs(away) > 0.5 * lnFeet) || tests < 2) continue;
    for (const { factor, oneIn, cohort, units } of mistakes) {
      if (cohortSize[s]! < cohort) continue;
      const left = (Math.abs(away) - Math.log(factor)) / spread;
      const odds = Math.exp(Math.min(500, 0.5 * (away / spread) ** 2 - 0.5 * left ** 2)) / oneIn;
      if (!(odds / (1 + odds) > surely) || Math.abs(left) > nearEnough) continue;
      // A strange cable is strange by any factor; a length in feet by 3.281 and little else.
      if (factor === feetPerMetre && Math.abs(Math.abs(away) - lnFeet) > Math.log(1.4)) continue;
      // Too long a length makes the leakage per km too small.
      findings.push(finding(s, away, away < 0 ? 1 / factor : factor, units, factor === feetPerMetre));
      break;
    }
  }
  return findings;

  function finding(s: number, away: number, factor: number, units: string, weak: boolean): Finding {
    const lengthKm = fleet.segments.lengthKm[s]!;
    const times = `${roughly(Math.exp(Math.abs(away)))} times ${away < 0 ? 'below' : 'above'}`;
    const name = `the ${roughly(Math.max(factor, 1 / factor))} between ${units}`;
    return {
      kind: 'length slip',
      certainty: weak ? 'weak' : 'likely',
      segment: s,
      event: -1,
      instrument: -1,
      readings: [],
      seen: [
        { name: 'length', value: lengthKm, unit: 'km' },
        { name: 'level against its cohort', value: Math.exp(away), unit: '' },
        { name: 'length as it might be', value: lengthKm * factor, unit: 'km' },
      ],
      says: `Its specific leakage is ${times} that of comparable segments, close to ${name}: look at its length of ${roughly(1000 * lengthKm)} m.${weak ? ' Weak evidence: sound cables differ too.' : ''}`,
      wouldChange: `With a length of ${roughly(1000 * lengthKm * factor)} m its level would be near that of its cohort. The slope of its own tests would stay the same.`,
      cure: { do: 'length', lengthKm: lengthKm * factor },
      growth: noGrowthEffect('a length changes the level of a segment and not its growth'),
    };
  }
}
