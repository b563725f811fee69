import { describe, expect, test } from 'vitest';
import { type FoundReading, type LevelPoint, ownGrowthLow, testFound } from '../../core/growth/testFound.ts';

const reading = (phase: string, leakageUa: number, more: Partial<FoundReading> = {}): FoundReading => ({
  phase,
  step: 0,
  voltageKv: 20,
  dwellMin: 15,
  leakageUa,
  belowFloor: false,
  insulationTempC: 20,
  outcome: 'withstood',
  ...more,
});
const found = (readings: readonly FoundReading[], method = 'dc_withstand') =>
  testFound(readings, method, 'PILC', 0.412);

describe('the level of one test, told from its own record', () => {
  // By hand: 24 µA ÷ 20 kV ÷ 0.412 km = 2.9126 nS/km.
  test('is leakage over voltage over length at 20 °C', () => {
    expect(found([reading('A', 24)]).levelNsPerKm).toBeCloseTo(2.9126, 4);
    // Geometric mean of 12 and 48 is 24.
    expect(found([reading('A', 12), reading('B', 48)]).levelNsPerKm).toBeCloseTo(2.9126, 4);
  });

  // NETA Table 100.14, oil column: resistance doubles for each 10 °C colder, so leakage at 30 °C halves at 20 °C.
  test('falls by half from 30 to 20 °C on paper', () => {
    expect(found([reading('A', 48, { insulationTempC: 30 })]).levelNsPerKm).toBeCloseTo(2.9126, 4);
  });

  test('is unknown without a temperature, at the floor on every phase, and from a test of insulation resistance', () => {
    expect(found([reading('A', 24), reading('B', 24, { insulationTempC: null })]).levelNsPerKm).toBeNull();
    expect(found([reading('A', 0.1, { belowFloor: true })]).levelNsPerKm).toBeNull();
    expect(found([reading('A', 24)], 'insulation_resistance').levelNsPerKm).toBeNull();
  });

  test('is that of the last step', () => {
    const steps = [4, 8, 12, 16, 20].map((voltageKv, i) =>
      reading('A', 24 * (voltageKv / 20), { step: i + 1, voltageKv }),
    );
    expect(found(steps).levelNsPerKm).toBeCloseTo(2.9126, 4);
  });
});

describe('what else one test found', () => {
  test('is a current that rose while the voltage stood still, and not one that rose with the voltage', () => {
    const minutes = (ua: readonly number[]) =>
      ua.map((each, i) => reading('A', each, { step: i + 1, dwellMin: i + 1 }));
    expect(found(minutes([12, 10, 9])).rising).toBe(false);
    expect(found(minutes([12, 10, 11])).rising).toBe(true);
    expect(found(minutes([12, 12.05])).rising).toBe(false);
    const volts = [10, 20].map((voltageKv, i) => reading('A', voltageKv, { step: i + 1, dwellMin: i + 1, voltageKv }));
    expect(found(volts).rising).toBe(false);
  });

  test('is phases apart, where they were read at one voltage; a phase at the floor makes it at least so much', () => {
    expect(found([reading('A', 10), reading('B', 34)]).phaseRatio).toBeCloseTo(3.4);
    expect(found([reading('A', 0.5, { belowFloor: true }), reading('B', 2)]).phaseRatio).toBeCloseTo(4);
    expect(found([reading('A', 10), reading('B', 34, { voltageKv: 30 })]).phaseRatio).toBeNull();
    expect(found([reading('A', 10)]).phaseRatio).toBeNull();
  });

  test('is a breakdown or a stop of any phase; one where every reading was broken off is no test done', () => {
    const stopped = found([reading('A', 10), reading('B', 10, { outcome: 'stopped' })]);
    expect(stopped).toMatchObject({ counts: true, stopped: true, breakdown: false });
    expect(found([reading('A', 10, { outcome: 'stopped' })])).toMatchObject({ counts: false, stopped: true });
    expect(found([reading('A', 10, { outcome: 'breakdown' })])).toMatchObject({ counts: true, breakdown: true });
  });
});

describe('a segment’s own growth', () => {
  const points = (levels: readonly number[], voltageKv = 20): LevelPoint[] =>
    levels.map((levelNsPerKm, i) => ({ years: 3 * i, levelNsPerKm, voltageKv }));

  test('of a level that gains 12 % each year is 12 % at the low end too', () => {
    expect(ownGrowthLow(points([0, 3, 6, 9, 12].map((year) => 1.12 ** year)))).toBeCloseTo(12, 6);
  });

  // By hand after Gilbert 1987 §16.5, n = 5: Var S = 5·4·15/18 = 16.667, reach 1.64485·4.0825 = 6.7151, lower rank
  // (10 − 6.7151)/2 = 1.6425 of the ten ordered slopes of ln 1, 2, 3, 2.5, 5 over 0, 1, 2, 3, 4 years.
  test('ends where Sen’s interval ends', () => {
    const levels = [1, 2, 3, 2.5, 5];
    const slopes = levels
      .flatMap((a, i) => levels.slice(i + 1).map((b, j) => Math.log(b / a) / (j + 1)))
      .sort((a, b) => a - b);
    const low = slopes[0]! + 0.6425 * (slopes[1]! - slopes[0]!);
    const yearly = levels.map((levelNsPerKm, years) => ({ years, levelNsPerKm, voltageKv: 20 }));
    expect(ownGrowthLow(yearly)).toBeCloseTo(100 * Math.expm1(low), 2);
  });

  test('cannot be told from four tests, nor from tests at other voltages', () => {
    expect(ownGrowthLow(points([1, 2, 4, 8]))).toBeNull();
    expect(ownGrowthLow([...points([1, 2, 4, 8], 40), ...points([16])])).toBeNull();
  });
});
