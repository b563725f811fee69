import { sourceWords } from '../trade/source.ts';
import { temperatureCoefficientOf } from '../trade/temperature.ts';
import { insulationFamilies } from './columns.ts';

/** What the published tables say before the fleet's own seasons speak. */
export interface TemperaturePrior {
  /** Change of ln leakage per °C. */
  readonly perC: number;
  readonly sd: number;
  readonly source: string;
}

/** The table's coefficient for a family (by its code in `insulationFamilies`). */
export function temperaturePrior(family: number): TemperaturePrior {
  const rule = temperatureCoefficientOf[insulationFamilies[family] ?? 'other'];
  return { perC: rule.lnPerC, sd: rule.sdLnPerC, source: sourceWords(rule.source) };
}
