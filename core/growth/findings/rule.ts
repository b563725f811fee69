import type { FleetColumns } from '../columns.ts';
import { decided, openDecisions } from '../decisions.ts';
import type { Cure, FindingKind } from './finding.ts';

/** A verdict on a finding, in ordinals of the columns. */
export interface Ruling {
  readonly verdict: 'accepted' | 'dismissed';
  readonly kind: FindingKind;
  readonly cure: Cure;
  /** −1 where it is about an instrument. */
  readonly segment: number;
  readonly readings: readonly number[];
}

/** What dismissing a finding of each kind fixes: the record stands as it was written. */
const dismissed: { readonly [K in FindingKind]: number } = {
  'unit slip': decided.valueStands,
  'wild reading': decided.valueStands,
  'impossible leakage': decided.valueStands,
  duplicate: decided.counts,
  'before energising': decided.counts,
  temperature: decided.temperatureStands,
  // These the fit takes as written anyway.
  'length slip': 0,
  'after retirement': 0,
  'in the future': 0,
  'phase swap': 0,
  'instrument shift': 0,
};

const celsius = (fahrenheit: number): number => (fahrenheit - 32) / 1.8;

/**
 * The fleet as the owner's verdicts have it: accepted findings cured, dismissed ones left as written and safe from any
 * repair. The columns given are not touched; without rulings they are handed back. Cost: a copy of the columns that change.
 */
export function rule(fleet: FleetColumns, rulings: readonly Ruling[]): FleetColumns {
  if (rulings.length === 0) return fleet;
  const { readings, segments } = fleet;
  const { bits, factor } = openDecisions(readings.count);
  const accepted = rulings.filter((ruling) => ruling.verdict === 'accepted');
  const touches = (what: Cure['do']): boolean => accepted.some(({ cure }) => cure.do === what);
  const temperatures = touches('temperature');
  const insulationTempC = temperatures ? readings.insulationTempC.slice() : readings.insulationTempC;
  const ambientTempC = temperatures ? readings.ambientTempC.slice() : readings.ambientTempC;
  const phase = touches('relabel') ? readings.phase.slice() : readings.phase;
  const lengthKm = touches('length') ? segments.lengthKm.slice() : segments.lengthKm;
  for (const ruling of rulings) {
    if (ruling.verdict === 'dismissed') for (const r of ruling.readings) bits[r]! |= dismissed[ruling.kind];
    else cured(ruling);
  }
  return {
    ...fleet,
    segments: { ...segments, lengthKm },
    readings: { ...readings, insulationTempC, ambientTempC, phase },
    decisions: { bits, factor },
  };

  function cured({ cure, kind, readings: own, segment }: Ruling): void {
    if (cure.do === 'length') lengthKm[segment] = cure.lengthKm;
    own.forEach((r, i) => {
      if (cure.do === 'leave out') bits[r]! |= decided.leftOut;
      else if (cure.do === 'count once') bits[r]! |= decided.countedOnce;
      else if (cure.do === 'relabel') phase[r] = cure.phases[i]!;
      else if (cure.do === 'temperature') {
        const column = cure.of === 'insulation' ? insulationTempC : ambientTempC;
        column[r] = cure.as === 'fahrenheit' ? celsius(column[r]!) : Number.NaN;
      } else if (cure.do === 'multiply') {
        factor[r]! *= cure.factor;
        // Set right once, it is not repaired again; an instrument's step says nothing of single slips.
        if (kind !== 'instrument shift') bits[r]! |= decided.valueStands;
      }
    });
  }
}
