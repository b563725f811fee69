import { describe, expect, test } from 'vitest';
import { insulationFamilies } from '../../core/trade/insulation.ts';
import {
  iceaRule,
  leakageAt,
  resistanceAt,
  resistanceFactor,
  temperatureCoefficientOf,
  temperatureRule,
} from '../../core/trade/temperature.ts';

const factor = (id: string, tempC: number): number => {
  const result = resistanceFactor(temperatureRule(id)!, tempC);
  if (!result.known) throw new Error(result.because);
  return result.value;
};
const atF = (tempF: number) => (tempF - 32) / 1.8;

describe('published factors', () => {
  test('FED-STD-228A Table I: RH 1.86 at 80 °F, R/RW 1.63 at 70 °F, T/TW 2.06 at 75 °F, 1 at 60 °F', () => {
    expect(factor('fed-std-228a-rh', atF(80))).toBe(1.86);
    expect(factor('fed-std-228a-r', atF(70))).toBe(1.63);
    expect(factor('fed-std-228a-t', atF(75))).toBe(2.06);
    for (const id of ['rh', 'r', 't']) expect(factor(`fed-std-228a-${id}`, atF(60))).toBe(1);
  });
  test('the RH column is 1.0315 for each °F within its two digits (computed independently)', () => {
    for (const tempF of [50, 55, 65, 68, 70, 75, 80])
      expect(Math.abs(factor('fed-std-228a-rh', atF(tempF)) - 1.0315 ** (tempF - 60))).toBeLessThan(0.006);
  });
  test('NETA 100.14 oil: 1200 MΩ at 35 °C is 3360 MΩ at 20 °C; 2 MΩ at 40 °C is 7.9 MΩ (worked examples)', () => {
    const oil = temperatureRule('neta-100.14-2025-oil')!;
    expect(resistanceAt(oil, 1200, 35)).toEqual({ known: true, value: 3360 });
    expect(resistanceAt(oil, 2, 40)).toEqual({ known: true, value: 7.9 });
  });
  test('NETA 100.14 editions are kept apart: solid at 30 °C is 1.58 in 2025 and 1.60 in an older one', () => {
    expect(factor('neta-100.14-2025-solid', 30)).toBe(1.58);
    expect(factor('neta-100.14-older-solid', 30)).toBe(1.6);
    expect(temperatureRule('neta-100.14-older-solid')!.source.mark).toBe('from memory, unverified');
  });
  test('IEEE 43 to 40 °C: .70711 at 35 °C, 8 at 70 °C; halving for each 10 °C takes 150 MΩ at 20 °C to 75 at 30 °C', () => {
    expect(factor('ieee-43-thermoplastic', 35)).toBeCloseTo(0.5 ** 0.5, 5);
    expect(factor('ieee-43-thermoplastic', 70)).toBeCloseTo(8, 10);
    const rule = temperatureRule('ieee-43-thermoplastic')!;
    const at30 = resistanceAt(rule, 150, 20, 30);
    expect(at30.known && at30.value).toBeCloseTo(75, 10);
  });
  test('IEEE 43 alternative K = 10^(0.0301 t − 1.2041) agrees with the halving within its rounding', () => {
    for (const tempC of [10, 40, 70])
      expect(factor('ieee-43-alternative', tempC)).toBeCloseTo(10 ** (0.0301 * tempC - 1.2041), 2);
  });
  test('ICEA form with a maker coefficient of 1.06: 1.79 at 70 °F, 4.30 at 85 °F (a maker THHN table)', () => {
    const rule = iceaRule(1.06);
    const at = (tempF: number) => {
      const result = resistanceFactor(rule, atF(tempF));
      return result.known ? result.value : Number.NaN;
    };
    expect(at(70)).toBeCloseTo(1.79, 2);
    expect(at(85)).toBeCloseTo(4.29, 1);
  });
});

test('leakage falls when it is corrected from 30 to 20 °C, by every rule that covers both (I_ref = I_meas / F)', () => {
  for (const id of [
    'neta-100.14-2025-oil',
    'neta-100.14-2025-solid',
    'neta-100.14-older-solid',
    'ieee-43-thermoplastic',
  ]) {
    const corrected = leakageAt(temperatureRule(id)!, 10, 30, 20);
    expect(corrected.known && corrected.value).toBeLessThan(8);
    const raised = leakageAt(temperatureRule(id)!, 10, 10, 20);
    expect(raised.known && raised.value).toBeGreaterThan(12);
  }
  for (const family of insulationFamilies) {
    const { lnPerC, sdLnPerC } = temperatureCoefficientOf[family];
    expect(lnPerC).toBeGreaterThan(0.03);
    expect(lnPerC).toBeLessThan(0.12);
    expect(sdLnPerC).toBeGreaterThan(0);
  }
});

test('outside the printed range, or without a temperature, the factor is unknown and says why', () => {
  const rule = temperatureRule('fed-std-228a-rh')!;
  expect(resistanceFactor(rule, 35)).toMatchObject({
    known: false,
    because: expect.stringContaining('10.0 to 26.7 °C'),
  });
  expect(resistanceFactor(rule, Number.NaN)).toMatchObject({ known: false });
});
