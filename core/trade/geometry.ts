import { type InsulationFamily, permittivityOf, resistanceConstantOf } from './insulation.ts';
import { known, type Maybe, unknown } from './source.ts';

/** What a shielded single-core cable's dimensions alone say: capacitance, least resistance, energy. */

/** 2π times the electric constant (CODATA 8.8541878 pF/m), in µF/km. */
const twoPiEpsilonUfPerKm = 2 * Math.PI * 8.8541878128e-3;

/** Capacitance of a coaxial cable, µF/km: 2πε0·εr / ln(D/d). Diameters in the same unit, over and under the insulation. */
export const capacitanceUfPerKm = (permittivity: number, outerDiameter: number, innerDiameter: number): number =>
  (twoPiEpsilonUfPerKm * permittivity) / Math.log(outerDiameter / innerDiameter);

/**
 * Least insulation resistance by the specification, MΩ·km at 15.6 °C: R = K·log10(D/d), K in MΩ·1000 ft.
 * Divide by length in km for a cable. Source: ICEA form.
 */
export const minimumResistanceMohmKm = (kMohmKft: number, outerDiameter: number, innerDiameter: number): number =>
  kMohmKft * Math.log10(outerDiameter / innerDiameter) * 0.3048;

/** Resistivity in Ω·m that a constant K (MΩ·1000 ft) stands for: ρ = 2π·R·length/ln(D/d). */
export const resistivityOhmM = (kMohmKft: number): number => (2 * Math.PI * kMohmKft * 304.8 * 1e6) / Math.LN10;

export interface CableDimensions {
  readonly insulation: InsulationFamily;
  readonly conductorDiameterMm: number | null;
  readonly insulationThicknessMm: number | null;
  readonly lengthKm: number;
}

/** Ratio D/d over and under the insulation; the conductor shield is counted as conductor. */
const diameterRatio = (cable: CableDimensions): Maybe<number> => {
  const { conductorDiameterMm: d, insulationThicknessMm: t } = cable;
  if (d === null || !(d > 0)) return unknown('the conductor diameter is not recorded');
  if (t === null || !(t > 0)) return unknown('the insulation thickness is not recorded');
  return known((d + 2 * t) / d);
};

export interface ComputedCapacitance {
  readonly nf: number;
  /** With the lowest and the highest permittivity of the family. */
  readonly lowNf: number;
  readonly highNf: number;
}

/**
 * Capacitance of one phase in nF from its dimensions, to compare with what a ramp shows. The conductor shield makes
 * the true inner diameter a little larger than the conductor, so the computed value is a little low.
 */
export const computedCapacitance = (cable: CableDimensions): Maybe<ComputedCapacitance> => {
  const ratio = diameterRatio(cable);
  if (!ratio.known) return ratio;
  if (!(cable.lengthKm > 0)) return unknown('the length is not recorded');
  const { relative, low, high } = permittivityOf[cable.insulation];
  const perUnit = capacitanceUfPerKm(1, ratio.value, 1) * cable.lengthKm * 1000;
  return known({ nf: perUnit * relative, lowNf: perUnit * low, highNf: perUnit * high });
};

/** The disagreement between trace and dimensions above which segment, length or far end are in doubt: 20 %. */
export const capacitanceDoubtShare = 0.2;

/**
 * Largest leakage of insulation that meets the specification when new, nS/km (µA per kV and km) at 15.6 °C: 1/R_min.
 * Where the dimensions are unknown, D/d 1.73 (a 15 kV class cable) is used and said.
 */
export const specifiedLeakageNsPerKm = (
  cable: Omit<CableDimensions, 'lengthKm'>,
): Maybe<{ nsPerKm: number; assumedRatio: boolean }> => {
  const constant = resistanceConstantOf(cable.insulation);
  if (constant === null) return unknown('no insulation constant is published for this insulation');
  const ratio = diameterRatio({ ...cable, lengthKm: 1 });
  const used = ratio.known ? ratio.value : 1.73;
  return known({
    nsPerKm: 1000 / minimumResistanceMohmKm(constant.kMohmKft, used, 1),
    assumedRatio: !ratio.known,
  });
};

/** Energy stored at a voltage: ½CV². nF and kV give joules after the factor 10⁻³. */
export const storedEnergyJ = (capacitanceNf: number, voltageKv: number): number =>
  (0.5 * capacitanceNf * voltageKv * voltageKv) / 1000;

/** Charge at a voltage, millicoulombs. */
export const chargeMc = (capacitanceNf: number, voltageKv: number): number => (capacitanceNf * voltageKv) / 1000;

/** Charging current during a ramp, µA. */
export const chargingCurrentUa = (capacitanceNf: number, rampKvPerS: number): number => capacitanceNf * rampKvPerS;

/**
 * Seconds for a bleed resistor to bring the cable from `fromKv` to `toV`, capacitance alone. Absorbed charge comes
 * back afterwards, so this never replaces the earthing time.
 */
export const bleedTimeS = (capacitanceNf: number, resistorMohm: number, fromKv: number, toV: number): number =>
  capacitanceNf * 1e-3 * resistorMohm * Math.log((fromKv * 1000) / toV);
