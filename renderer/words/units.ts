import { asSet, fixed, measured, nb } from './numbers.ts';

/**
 * Lengths, temperatures and conductor sizes switch. Specific leakage stays in nS/km in both: policies, limits and
 * exported files carry it so, and one number must not have two values.
 */
export type UnitSystem = 'metric' | 'us';

const metresPerFoot = 0.3048;

/** A length on a cable: '412 m', '1,352 ft', '5.28 km'. */
export function lengthWords(metres: number, system: UnitSystem): string {
  if (system === 'us') {
    const feet = metres / metresPerFoot;
    return feet < 10_000 ? `${fixed(feet, 0)}${nb}ft` : `${fixed(feet / 1000, 1)}${nb}kft`;
  }
  return metres < 2000 ? `${fixed(metres, 0)}${nb}m` : `${fixed(metres / 1000, 2)}${nb}km`;
}

/** A sum of lengths: '418 km', '1,371 kft'. */
export function routeLength(km: number, system: UnitSystem): string {
  const value = system === 'us' ? km / metresPerFoot : km;
  return `${fixed(value, value < 10 ? 1 : 0)}${nb}${system === 'us' ? 'kft' : 'km'}`;
}

/** A place along a segment, without unit: pair with `lengthUnit`. */
export const position = (metres: number, system: UnitSystem): string =>
  fixed(system === 'us' ? metres / metresPerFoot : metres, 0);

export const lengthUnit = (system: UnitSystem): string => (system === 'us' ? 'ft' : 'm');

export const temperatureUnit = (system: UnitSystem): string => (system === 'us' ? '°F' : '°C');

/** A temperature without unit: pair with `temperatureUnit`. */
export const temperature = (celsius: number, system: UnitSystem): string =>
  system === 'us' ? fixed(celsius * 1.8 + 32, 0) : fixed(celsius, 1);

/** A typed temperature in °C. */
export const celsius = (typed: number, system: UnitSystem): number => (system === 'us' ? (typed - 32) / 1.8 : typed);

/** Diameter of an AWG size is 0.005 in × 92^((36 − n) / 39): ASTM B258. */
const awgAreaMm2 = (n: number): number => {
  const diameterMm = 0.127 * 92 ** ((36 - n) / 39);
  return (Math.PI / 4) * diameterMm * diameterMm;
};

/** 1 kcmil is the area of a circle of √1000 mil. */
const mm2PerKcmil = (Math.PI / 4) * 25.4 ** 2 * 1e-3;

const awgName = (n: number): string => (n <= 0 ? `${1 - n}/0${nb}AWG` : `${n}${nb}AWG`);

/**
 * A conductor's cross-section: '107 mm²', or the AWG or kcmil size that lies within 3 % of it, or its kcmil.
 * Metric and American sizes do not coincide, so a metric 240 mm² reads 474 kcmil.
 */
export function conductorArea(mm2: number, system: UnitSystem): string {
  if (system === 'metric') return `${asSet(Number(mm2.toPrecision(4)))}${nb}mm²`;
  for (let n = 8; n >= -3; n--) if (Math.abs(awgAreaMm2(n) / mm2 - 1) < 0.03) return awgName(n);
  const kcmil = mm2 / mm2PerKcmil;
  const standard = [250, 300, 350, 400, 500, 600, 750, 1000, 1250, 1500, 2000].find(
    (s) => Math.abs(s / kcmil - 1) < 0.03,
  );
  return `${standard ?? fixed(kcmil, 0)}${nb}kcmil`;
}

/** A small dimension of the cable: '5.6 mm', '220 mil'. */
export const thickness = (mm: number, system: UnitSystem): string =>
  system === 'us' ? `${fixed(mm / 0.0254, 0)}${nb}mil` : `${asSet(Number(mm.toPrecision(4)))}${nb}mm`;

/** Specific leakage at 20 °C: '4.31 nS/km'. */
export const specificLeakage = (nsPerKm: number): string => `${measured(nsPerKm)}${nb}nS/km`;
