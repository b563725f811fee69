import { median } from '../../numerics/quantile.ts';
import type { FleetColumns } from '../columns.ts';
import type { MeasuredCapacitance } from './context.ts';
import { type Finding, noGrowthEffect, roughly } from './finding.ts';

const feetPerMetre = 1 / 0.3048;
const lnFeet = Math.log(feetPerMetre);
/** A measured capacitance is good to a few per cent, the computed one to what is known of the cable: this covers both. */
const tolerance = Math.log(1.25);
/** Beyond the range of the family's compounds, for what is measured and for the shields, which dimensions leave out. */
const beyondRange = Math.log(1.1);

/**
 * Lengths held against the capacitance that the segment's traces show: measured capacitance over capacitance per km is
 * the length that was charged. The middle of all its traces counts, so that one phase with an open end says nothing. No
 * finding within 25 %, nor while any compound of its family would explain it; near a factor of 3.281 it says feet and metres.
 */
export const findChargedLengths = (fleet: FleetColumns, measured: readonly MeasuredCapacitance[]): Finding[] =>
  measured.flatMap((one) => finding(one, fleet.segments.lengthKm[one.segment]!) ?? []);

function finding({ segment, measuredNf, nfPerKm, lowNfPerKm, highNfPerKm }: MeasuredCapacitance, lengthKm: number) {
  const nf = median(measuredNf);
  const chargedKm = nf / nfPerKm;
  const off = Math.log(chargedKm / lengthKm);
  const nearest = Math.log(nf / (lengthKm * (off > 0 ? highNfPerKm : lowNfPerKm)));
  const explained = off > 0 ? nearest <= beyondRange : nearest >= -beyondRange;
  if (!(Math.abs(off) > tolerance) || explained) return undefined;
  const feet = Math.abs(Math.abs(off) - lnFeet) < tolerance;
  const curedKm = feet ? lengthKm * (off > 0 ? feetPerMetre : 1 / feetPerMetre) : chargedKm;
  const traces = measuredNf.length === 1 ? 'The trace shows' : `The ${measuredNf.length} traces show in the middle`;
  return {
    kind: 'length slip',
    certainty: feet ? 'likely' : 'weak',
    segment,
    event: -1,
    instrument: -1,
    readings: [],
    seen: [
      { name: 'length', value: lengthKm, unit: 'km' },
      { name: 'capacitance in the traces', value: nf, unit: 'nF' },
      { name: 'capacitance computed from the cable', value: nfPerKm, unit: 'nF/km' },
      { name: 'length by capacitance', value: chargedKm, unit: 'km' },
    ],
    says: `${traces} ${roughly(nf)} nF a phase, that of ${roughly(1000 * chargedKm)} m of this cable; the record says ${roughly(1000 * lengthKm)} m.${feet ? ' The two differ as feet and metres do.' : ' Either the length, the cable’s dimensions, or what was connected differs from the record.'}`,
    wouldChange: `With a length of ${roughly(1000 * curedKm)} m its specific leakage would be ${roughly(lengthKm / curedKm)} times what it is now. The slope of its own tests would stay the same.`,
    cure: { do: 'length', lengthKm: curedKm },
    growth: noGrowthEffect('a length changes the level of a segment and not its growth'),
  } satisfies Finding;
}
