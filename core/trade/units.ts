/** Exact conversions between what crews write and SI. International foot and mile (1959): 0.3048 m, 1609.344 m. */

export const lengthUnits = ['m', 'km', 'ft', 'kft', 'mi'] as const;
export type LengthUnit = (typeof lengthUnits)[number];
const metresPer: Record<LengthUnit, number> = { m: 1, km: 1000, ft: 0.3048, kft: 304.8, mi: 1609.344 };
export const lengthToKm = (length: number, unit: LengthUnit): number => (length * metresPer[unit]) / 1000;
export const lengthFromKm = (lengthKm: number, unit: LengthUnit): number => (lengthKm * 1000) / metresPer[unit];

export const currentUnits = ['nA', 'uA', 'mA', 'A'] as const;
export type CurrentUnit = (typeof currentUnits)[number];
const microampsPer: Record<CurrentUnit, number> = { nA: 1e-3, uA: 1, mA: 1e3, A: 1e6 };
/** Nanoamperes are divided, so that 123 nA is the nearest number to 0.123 µA. */
export const currentToUa = (current: number, unit: CurrentUnit): number =>
  unit === 'nA' ? current / 1000 : current * microampsPer[unit];
export const currentFromUa = (currentUa: number, unit: CurrentUnit): number => currentUa / microampsPer[unit];

export const resistanceUnits = ['kOhm', 'MOhm', 'GOhm', 'TOhm'] as const;
export type ResistanceUnit = (typeof resistanceUnits)[number];
const megohmsPer: Record<ResistanceUnit, number> = { kOhm: 1e-3, MOhm: 1, GOhm: 1e3, TOhm: 1e6 };
export const resistanceToMohm = (resistance: number, unit: ResistanceUnit): number => resistance * megohmsPer[unit];

export const fahrenheitToC = (tempF: number): number => (tempF - 32) / 1.8;
export const celsiusToF = (tempC: number): number => tempC * 1.8 + 32;

export const milsToMm = (mils: number): number => mils * 0.0254;
export const inchesToMm = (inches: number): number => inches * 25.4;

/** A circular mil is the area of a circle one mil across: π/4 · 0.0254² mm². */
const mm2PerCircularMil = (Math.PI / 4) * 0.0254 ** 2;
export const kcmilToMm2 = (kcmil: number): number => kcmil * 1000 * mm2PerCircularMil;
export const mm2ToKcmil = (areaMm2: number): number => areaMm2 / mm2PerCircularMil / 1000;

/**
 * Area of a solid American wire gauge size, mm². 4/0, 3/0, 2/0 and 1/0 are −3, −2, −1 and 0.
 * ASTM B258: diameters form a geometric series from 0.46 in at 4/0 to 0.005 in at AWG 36, d = 0.005·92^((36−n)/39) in.
 */
export const awgToMm2 = (gauge: number): number => {
  const diameterMm = 0.127 * 92 ** ((36 - gauge) / 39);
  return (Math.PI / 4) * diameterMm * diameterMm;
};

const sizeName = (gauge: number): string => (gauge > 0 ? `${gauge} AWG` : `${1 - gauge}/0 AWG`);

export interface ConductorSize {
  readonly name: string;
  readonly areaMm2: number;
}

/** Sizes met in underground distribution, small to large. */
export const conductorSizes: readonly ConductorSize[] = [
  ...[8, 6, 4, 3, 2, 1, 0, -1, -2, -3].map((gauge) => ({ name: sizeName(gauge), areaMm2: awgToMm2(gauge) })),
  ...[250, 300, 350, 400, 500, 600, 750, 1000, 1250, 1500, 2000].map((kcmil) => ({
    name: `${kcmil} kcmil`,
    areaMm2: kcmilToMm2(kcmil),
  })),
];

/** The customary size nearest to an area, or null where none lies within 6 % (a metric size then). */
export const nearestConductorSize = (areaMm2: number): ConductorSize | null => {
  const nearest = conductorSizes.reduce((best, size) =>
    Math.abs(Math.log(size.areaMm2 / areaMm2)) < Math.abs(Math.log(best.areaMm2 / areaMm2)) ? size : best,
  );
  return Math.abs(nearest.areaMm2 / areaMm2 - 1) <= 0.06 ? nearest : null;
};

/** Area in mm² of '4/0', '4/0 AWG', '#2', '2 AWG', '500 kcmil', '500 MCM' or '240 mm2'; null where it is none of them. */
export const parseConductorSize = (text: string): number | null => {
  const cleaned = text.trim().toLowerCase();
  const aught = /^#?([1-4])\/0(?:\s*awg)?$/.exec(cleaned);
  if (aught) return awgToMm2(1 - Number(aught[1]));
  const gauge = /^(?:#\s*(\d{1,2})(?:\s*awg)?|(\d{1,2})\s*awg|awg\s*(\d{1,2}))$/.exec(cleaned);
  if (gauge) return awgToMm2(Number(gauge[1] ?? gauge[2] ?? gauge[3]));
  const kcmil = /^(\d+(?:\.\d+)?)\s*(?:kcmil|mcm)$/.exec(cleaned);
  if (kcmil) return kcmilToMm2(Number(kcmil[1]));
  const metric = /^(\d+(?:\.\d+)?)\s*(?:mm2|mm²|sq\.?\s*mm)$/.exec(cleaned);
  return metric ? Number(metric[1]) : null;
};
