import { describe, expect, test } from 'vitest';
import {
  absorptionExponent,
  bandOf,
  currentAt,
  currentRatio,
  dielectricAbsorptionBands,
  extrudedPolarizationNote,
  polarizationIndexBands,
  risingAtConstantVoltage,
} from '../../core/trade/absorption.ts';
import { earthingTimeMin } from '../../core/trade/earthing.ts';
import { failureRates, ratePer100Km } from '../../core/trade/failure-rates.ts';
import {
  bleedTimeS,
  capacitanceUfPerKm,
  chargeMc,
  chargingCurrentUa,
  computedCapacitance,
  minimumResistanceMohmKm,
  resistivityOhmM,
  specifiedLeakageNsPerKm,
  storedEnergyJ,
} from '../../core/trade/geometry.ts';
import { japaneseBand, netaMinimumResistance, resistanceMohm } from '../../core/trade/insulation-resistance.ts';
import { electricalIntervalMonths } from '../../core/trade/intervals.ts';
import { defaultLimit } from '../../core/trade/limits.ts';
import { stepVoltagesKv } from '../../core/trade/step-test.ts';
import {
  awgToMm2,
  celsiusToF,
  currentToUa,
  fahrenheitToC,
  kcmilToMm2,
  lengthToKm,
  nearestConductorSize,
  parseConductorSize,
} from '../../core/trade/units.ts';

// Worked cable: d 0.82 in, D 1.26 in, K 20 000, εr 2.3, 1.2 km; computed independently of this program in Python.
describe('a worked 15 kV class cable, d 0.82 in, D 1.26 in', () => {
  test('least resistance 1137.250 MΩ·km by the ICEA form; 56, 64 and 20 kV leak at most 49.242, 56.276, 17.586 µA/km', () => {
    const r = minimumResistanceMohmKm(20_000, 1.26, 0.82);
    expect(r).toBeCloseTo(1137.25, 2);
    expect(r / 0.3048).toBeCloseTo(3731.134, 2);
    expect((56 / r) * 1000).toBeCloseTo(49.242, 3);
    expect((64 / r) * 1000).toBeCloseTo(56.276, 3);
    expect((20 / r) * 1000).toBeCloseTo(17.586, 3);
  });
  test('0.29787 µF/km; 1.2 km holds 732.05 J and 22.877 mC at 64 kV; a ramp of 60 s draws 381.28 µA', () => {
    const perKm = capacitanceUfPerKm(2.3, 1.26, 0.82);
    expect(perKm).toBeCloseTo(0.29787, 5);
    const nf = perKm * 1.2 * 1000;
    expect(storedEnergyJ(nf, 64)).toBeCloseTo(732.05, 1);
    expect(chargeMc(nf, 64)).toBeCloseTo(22.877, 2);
    expect(chargingCurrentUa(nf, 64 / 60)).toBeCloseTo(381.28, 1);
    expect(bleedTimeS(nf, 1, 64, 20)).toBeCloseTo(2.885, 3);
  });
  test('the bleed of 2.9 s never replaces the earthing: 15 min of test asks for 60 min (IEEE 43, four times)', () => {
    expect(earthingTimeMin(15)).toBe(60);
  });
});

test('K 20 000 stands for 1.66e13 Ω·m (8.3172e8 · K, computed independently)', () => {
  expect(resistivityOhmM(20_000) / 1e13).toBeCloseTo(1.6634, 3);
});

test('coaxial capacitance: εr 2.6, D/d 6 is 81 pF/m (problem 26.37 of a physics textbook)', () => {
  expect(Math.round(capacitanceUfPerKm(2.6, 6, 1) * 1000)).toBe(81);
});

test('the constant of capacitance is 0.0556325 µF/km and 7.3642 pF/ft on log10', () => {
  expect(capacitanceUfPerKm(1, Math.E, 1)).toBeCloseTo(0.0556325, 7);
  expect(capacitanceUfPerKm(1, 10, 1) * 1e6 * 0.3048e-3).toBeCloseTo(7.3642, 3);
});

test('computed capacitance needs diameter, thickness and length, and says which is missing', () => {
  const cable = { insulation: 'XLPE', conductorDiameterMm: 12.2, insulationThicknessMm: 4.45, lengthKm: 0.5 } as const;
  const capacitance = computedCapacitance(cable);
  expect(capacitance.known && capacitance.value.nf).toBeCloseTo((0.0556325 * 2.4 * 500) / Math.log(21.1 / 12.2), 2);
  expect(computedCapacitance({ ...cable, conductorDiameterMm: null })).toEqual({
    known: false,
    because: 'the conductor diameter is not recorded',
  });
});

test('specified leakage for K 20 000 and D/d 1.73 is 0.69 nS/km; the default limit ten times that, paper six times', () => {
  const bare = { conductorDiameterMm: null, insulationThicknessMm: null };
  const xlpe = specifiedLeakageNsPerKm({ insulation: 'XLPE', ...bare });
  expect(xlpe.known && xlpe.value.nsPerKm).toBeCloseTo(0.689, 3);
  const limit = defaultLimit({ insulation: 'XLPE', ...bare });
  expect(limit.known && limit.value.nsPerKm).toBeCloseTo(6.89, 2);
  expect(limit.known && limit.value.source.document).toContain('our default');
  const paper = defaultLimit({ insulation: 'PILC', ...bare });
  expect(paper.known && paper.value.nsPerKm).toBeCloseTo((6 * 20_000 * 0.6892) / 2640, 1);
  expect(defaultLimit({ insulation: 'other', ...bare }).known).toBe(false);
});

describe('absorption', () => {
  test('12 µA at 1 min and 4 µA at 10 min give an index of 3.0 and an exponent of .477121 (computed independently)', () => {
    expect(currentRatio(12, 4)).toEqual({ known: true, value: 3 });
    const n = absorptionExponent(12, 60, 4, 600);
    expect(n.known && n.value).toBeCloseTo(0.477121, 6);
  });
  test('2 + 10·t^−0.8 is 4.75946 at 5 min (computed independently), and the exponent comes back after the steady part', () => {
    expect(currentAt(2, 10, 0.8, 5)).toBeCloseTo(4.75946, 5);
    const n = absorptionExponent(currentAt(2, 10, 0.8, 1), 1, currentAt(2, 10, 0.8, 5), 5, 2);
    expect(n.known && n.value).toBeCloseTo(0.8, 10);
  });
  test('bands of common practice: DAR 1.3 has no name, 1.5 acceptable; PI 3 acceptable, 0.9 bad', () => {
    expect(bandOf(dielectricAbsorptionBands, 1.3)?.says).toBe('not assigned');
    expect(bandOf(dielectricAbsorptionBands, 1.5)?.says).toBe('acceptable');
    expect(bandOf(polarizationIndexBands, 3)?.says).toBe('acceptable');
    expect(bandOf(polarizationIndexBands, 0.9)?.says).toBe('bad');
    expect(dielectricAbsorptionBands.every((band) => band.source.mark === 'common practice, no source')).toBe(true);
  });
  test('an index of 1.3 on extruded cable is inside the healthy span; under 1 the current rises', () => {
    expect(1.3 >= extrudedPolarizationNote.from && 1.3 <= extrudedPolarizationNote.to).toBe(true);
    expect(risingAtConstantVoltage(1.3)).toBe(false);
    expect(risingAtConstantVoltage(0.97)).toBe(true);
  });
});

test('NETA MTS-2007 appendix B: high need and poor condition, 36 × 0.25 = 9 months', () => {
  expect(electricalIntervalMonths('high', 'poor')).toBe(9);
  expect(electricalIntervalMonths('low', 'good')).toBe(90);
});

test('EPRI median 2.89 per 100 conductor-miles is 1.796 per 100 km (computed independently)', () => {
  expect(ratePer100Km(failureRates[0]!)).toBeCloseTo(1.796, 3);
  expect(ratePer100Km(failureRates.find((row) => row.population === 'joint')!)).toBeNull();
});

test('NETA Table 100.1 and the Japanese bands', () => {
  expect(netaMinimumResistance.map((row) => row.minimumMohm)).toEqual([1500, 2500, 5000, 10_000, 100_000, 100_000]);
  expect([5000, 4999, 499].map(japaneseBand)).toEqual(['good', 'attention', 'defective']);
  expect(resistanceMohm(5, 1)).toBe(5000);
});

test('UFGS step test: at least five equal steps, none above the rated voltage', () => {
  expect(stepVoltagesKv(56, 15)).toEqual([11.2, 22.4, 33.6, 44.8, 56]);
  const steps = stepVoltagesKv(64, 8);
  expect(steps).toHaveLength(8);
  expect(steps[0]).toBeLessThanOrEqual(8);
});

describe('units', () => {
  // ASTM B258 areas as printed in handbooks: 4/0 107.2, 2 AWG 33.6 mm²; NEC chapter 9 table 8: 500 kcmil 253, 1000 kcmil 507.
  test('conductor sizes', () => {
    expect(awgToMm2(-3)).toBeCloseTo(107.2, 1);
    expect(awgToMm2(2)).toBeCloseTo(33.6, 1);
    expect(kcmilToMm2(500)).toBeCloseTo(253.35, 2);
    expect(kcmilToMm2(1000)).toBeCloseTo(506.7, 1);
    expect(nearestConductorSize(107)?.name).toBe('4/0 AWG');
    expect(nearestConductorSize(53.5)?.name).toBe('1/0 AWG');
    expect(nearestConductorSize(150)?.name).toBe('300 kcmil');
    expect(parseConductorSize('#2')).toBeCloseTo(33.6, 1);
    expect(parseConductorSize('4/0 AWG')).toBeCloseTo(107.2, 1);
    expect(parseConductorSize('750 MCM')).toBeCloseTo(380.0, 1);
    expect(parseConductorSize('240 mm²')).toBe(240);
    expect(parseConductorSize('big')).toBeNull();
  });
  test('lengths, currents, temperatures are exact', () => {
    expect(lengthToKm(1, 'mi')).toBe(1.609344);
    expect(lengthToKm(1, 'kft')).toBeCloseTo(0.3048, 12);
    expect(currentToUa(250, 'nA')).toBe(0.25);
    expect(fahrenheitToC(60)).toBeCloseTo(15.5556, 4);
    expect(celsiusToF(20)).toBe(68);
  });
});
