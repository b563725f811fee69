import type { Source } from './source.ts';

/** Insulation families as a fleet folder writes them. */
export const insulationFamilies = ['PILC', 'HMWPE', 'XLPE', 'TR-XLPE', 'EPR', 'PVC', 'other'] as const;
export type InsulationFamily = (typeof insulationFamilies)[number];

/** How the family is built. An unnamed insulation is not taken for laminated: the cautious reading of 'other'. */
export const insulationBuild = (family: InsulationFamily): 'laminated' | 'extruded' | 'not known' =>
  family === 'PILC' ? 'laminated' : family === 'other' ? 'not known' : 'extruded';

const iceaK = (mark: Source['mark'] = 'from memory, unverified'): Source => ({
  document: 'ICEA insulation resistance constants',
  edition: 'edition not verified',
  table: 'K at 15.6 °C, MΩ·1000 ft',
  mark,
});

export interface ResistanceConstant {
  readonly compound: string;
  /** K of R = K·log10(D/d), MΩ·1000 ft at 15.6 °C. A specified minimum, not a typical value. */
  readonly kMohmKft: number;
  readonly source: Source;
}

/** Specified minimum insulation resistance constants. V/R with these is an upper bound of acceptable leakage. */
export const resistanceConstants: readonly ResistanceConstant[] = [
  { compound: 'cross-linked polyethylene', kMohmKft: 20_000, source: iceaK() },
  { compound: 'ethylene propylene rubber', kMohmKft: 20_000, source: iceaK() },
  { compound: 'thermoplastic polyethylene', kMohmKft: 50_000, source: iceaK() },
  { compound: 'composite polyethylene', kMohmKft: 30_000, source: iceaK() },
  { compound: 'impregnated paper', kMohmKft: 2_640, source: iceaK() },
  { compound: 'varnished cambric', kMohmKft: 2_460, source: iceaK() },
  { compound: 'natural rubber', kMohmKft: 10_560, source: iceaK() },
  { compound: 'synthetic rubber', kMohmKft: 2_000, source: iceaK() },
  { compound: 'PVC, 60 °C', kMohmKft: 500, source: iceaK() },
  { compound: 'PVC, 75 °C', kMohmKft: 2_000, source: iceaK() },
];

const compoundOf: Record<Exclude<InsulationFamily, 'other'>, string> = {
  PILC: 'impregnated paper',
  HMWPE: 'thermoplastic polyethylene',
  XLPE: 'cross-linked polyethylene',
  'TR-XLPE': 'cross-linked polyethylene',
  EPR: 'ethylene propylene rubber',
  PVC: 'PVC, 75 °C',
};

/** The constant used for a family; null for 'other', for which none is published. */
export const resistanceConstantOf = (family: InsulationFamily): ResistanceConstant | null =>
  family === 'other' ? null : (resistanceConstants.find((row) => row.compound === compoundOf[family]) ?? null);

export interface Permittivity {
  readonly relative: number;
  /** The range in which makers' compounds lie; what a capacitance comparison must allow for. */
  readonly low: number;
  readonly high: number;
  readonly source: Source;
}

const textbook: Source = {
  document: 'textbook ranges of relative permittivity',
  edition: 'public texts',
  table: 'PE 2.3; XLPE 2.3–2.5; EPR 2.8–3.5; PVC 4–8',
  mark: 'read',
};
const iec287: Source = {
  document: 'IEC 60287-1-1',
  edition: 'edition not verified',
  table: 'relative permittivity of insulation',
  mark: 'from memory, unverified',
};

/** Relative permittivity by family at power frequency and below; paper and 'other' are the least certain. */
export const permittivityOf: Record<InsulationFamily, Permittivity> = {
  PILC: { relative: 4, low: 3.3, high: 4.3, source: iec287 },
  HMWPE: { relative: 2.3, low: 2.2, high: 2.4, source: textbook },
  XLPE: { relative: 2.4, low: 2.3, high: 2.5, source: textbook },
  'TR-XLPE': { relative: 2.4, low: 2.3, high: 2.6, source: textbook },
  EPR: { relative: 3, low: 2.8, high: 3.5, source: textbook },
  PVC: { relative: 6, low: 4, high: 8, source: textbook },
  other: {
    relative: 3,
    low: 2.2,
    high: 8,
    source: { document: 'widest range of the families above', edition: '', table: '', mark: 'computed' },
  },
};
