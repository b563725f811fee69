import type { FleetColumns } from '../columns.ts';
import type { Comparable } from './comparable.ts';
import { type Finding, noGrowthEffect, roughly } from './finding.ts';

const feetPerMetre = 1 / 0.3048;
const lnFeet = Math.log(feetPerMetre);
/** One length in so many is in the wrong unit, beforehand. */
const oneIn = 500;
const surely = 0.9;
const smallestCohort = 30;

/**
 * Segments whose level stands 3.281 times above or below its cohort's, as if a length in feet had been written as
 * metres or the other way about. Levels of sound cables differ nearly as much, so this is a hint to look at the length
 * and never more; it speaks only in cohorts so even that chance is a poor explanation.
 * `level` is that of each segment, slips set right and drift taken out.
 */
export function findLengthSlips(fleet: FleetColumns, comparable: Comparable, level: Float64Array): Finding[] {
  const { events, cohortLevel, cohortSpread, cohortSize } = comparable;
  const findings: Finding[] = [];
  for (let s = 0; s < fleet.segments.count; s++) {
    const tests = events.ofSegment[s + 1]! - events.ofSegment[s]!;
    const spread = Math.hypot(cohortSpread[s]!, comparable.eventSpread / Math.sqrt(Math.max(1, tests)));
    const away = level[s]! - cohortLevel[s]!;
    if (!(cohortSize[s]! >= smallestCohort) || !(Math.abs(away) > 0.5 * lnFeet) || tests < 2) continue;
    const slipped = (Math.abs(away) - lnFeet) / spread;
    const odds = Math.exp(0.5 * (away / spread) ** 2 - 0.5 * slipped ** 2) / oneIn;
    const chance = odds / (1 + odds);
    if (!(chance > surely) || Math.abs(slipped) > 2) continue;
    // Too long a length makes the leakage per km too small.
    const factor = away < 0 ? 1 / feetPerMetre : feetPerMetre;
    const lengthKm = fleet.segments.lengthKm[s]!;
    findings.push({
      kind: 'length slip',
      certainty: 'weak',
      segment: s,
      event: -1,
      instrument: -1,
      readings: [],
      seen: [
        { name: 'length', value: lengthKm, unit: 'km' },
        { name: 'level against its cohort', value: Math.exp(away), unit: '' },
        { name: 'length as it might be', value: lengthKm * factor, unit: 'km' },
      ],
      says: `Its specific leakage is ${roughly(Math.exp(Math.abs(away)))} times ${away < 0 ? 'below' : 'above'} that of comparable segments, close to the 3.281 between feet and metres: look at its length of ${roughly(1000 * lengthKm)} m. Weak evidence: sound cables differ too.`,
      wouldChange: `With a length of ${roughly(1000 * lengthKm * factor)} m its level would be that of its cohort. Its growth would stay the same.`,
      growth: noGrowthEffect('a length changes the level of a segment and not its growth'),
    });
  }
  return findings;
}

/** A measured capacitance is good to a few per cent, the computed one to what is known of the cable: this covers both. */
const capacitanceTolerance = 0.25;

/**
 * Holds a segment's length against the capacitance that a trace shows: measured capacitance over capacitance per km
 * is the length that was charged. No finding within 25 %; near a factor of 3.281 it says feet and metres.
 * `segment` and `event` are ordinals; all numbers positive.
 */
export function checkLengthByCapacitance(
  segment: number,
  event: number,
  lengthKm: number,
  measuredNf: number,
  computedNfPerKm: number,
): Finding | undefined {
  const chargedKm = measuredNf / computedNfPerKm;
  const off = Math.log(chargedKm / lengthKm);
  if (!(Math.abs(off) > Math.log(1 + capacitanceTolerance))) return undefined;
  const feet = Math.abs(Math.abs(off) - lnFeet) < Math.log(1 + capacitanceTolerance);
  return {
    kind: 'length slip',
    certainty: feet ? 'likely' : 'weak',
    segment,
    event,
    instrument: -1,
    readings: [],
    seen: [
      { name: 'length', value: lengthKm, unit: 'km' },
      { name: 'capacitance in the trace', value: measuredNf, unit: 'nF' },
      { name: 'capacitance computed from the cable', value: computedNfPerKm, unit: 'nF/km' },
      { name: 'length by capacitance', value: chargedKm, unit: 'km' },
    ],
    says: `The trace shows ${roughly(measuredNf)} nF, that of ${roughly(1000 * chargedKm)} m of this cable; the record says ${roughly(1000 * lengthKm)} m.${feet ? ' The two differ as feet and metres do.' : ' Either the length, the cable’s dimensions, or what was connected differs from the record.'}`,
    wouldChange: `With the length by capacitance its specific leakage would be ${roughly(lengthKm / chargedKm)} times what it is now. Its growth would stay the same.`,
    growth: noGrowthEffect('a length changes the level of a segment and not its growth'),
  };
}
