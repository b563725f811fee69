import { specifiedLeakageNsPerKm } from './geometry.ts';
import { type InsulationFamily, insulationBuild } from './insulation.ts';
import { known, type Maybe, type Source, unknown } from './source.ts';

/** How many times the specified leakage of new insulation our default limit is. */
export const defaultLimitMultiple = { extruded: 10, laminated: 6 } as const;

export const defaultLimitSource: Source = {
  document: 'our default, no published limit exists, set your own',
  edition: '',
  table: 'multiple of the largest leakage of insulation that meets the ICEA form when new',
  mark: 'computed',
};

export interface LeakageLimit {
  /** nS/km at 20 °C. */
  readonly nsPerKm: number;
  readonly source: Source;
}

/**
 * Default limit of specific leakage at 20 °C for a cable whose owner has set none: the specified leakage when new
 * times 10 for extruded, 6 for paper. The specified value is one at 15.6 °C and is taken as it stands for 20 °C, which
 * is the stricter reading. 'Other': unknown.
 */
export const defaultLimit = (cable: {
  readonly insulation: InsulationFamily;
  readonly conductorDiameterMm: number | null;
  readonly insulationThicknessMm: number | null;
}): Maybe<LeakageLimit> => {
  const build = insulationBuild(cable.insulation);
  if (build === 'not known') return unknown('the insulation is not named, so no default limit can be derived');
  const specified = specifiedLeakageNsPerKm(cable);
  if (!specified.known) return specified;
  return known({
    nsPerKm: specified.value.nsPerKm * defaultLimitMultiple[build],
    source: specified.value.assumedRatio
      ? { ...defaultLimitSource, table: `${defaultLimitSource.table}; D/d 1.73 assumed, dimensions not recorded` }
      : defaultLimitSource,
  });
};
