import { describe, expect, test } from 'vitest';
import { seededRandom } from '../../core/numerics/random.ts';
import { readTrace } from '../../core/trace/read-trace.ts';
import type { TracePlan, TraceReading } from '../../core/trace/reading.ts';
import { traceRow } from '../../core/trace/row.ts';

type Sample = readonly [timeS: number, voltageKv: number, currentUa: number];
const read = (samples: readonly Sample[], plan?: TracePlan): TraceReading => {
  const column = (k: 0 | 1 | 2) => Float64Array.from(samples, (sample) => sample[k]);
  const reading = readTrace({ timeS: column(0), voltageKv: column(1), currentUa: column(2) }, plan);
  if (!reading.ok) throw new Error(reading.because);
  return reading;
};

/** Ramp at 1 kV/s, a hold whose current is given, a bleed of 4 s. Two samples a second. */
const test20kV = (dwellS: number, currentUa: (t: number) => number, bleedS = 4): Sample[] => {
  const samples: Sample[] = [];
  for (let t = 0; t <= 20; t += 0.5) samples.push([t, t, 50]);
  for (let t = 0.5; t <= dwellS; t += 0.5) samples.push([20 + t, 20, currentUa(t)]);
  for (let t = 0.5; t <= 5 * bleedS; t += 0.5) samples.push([20 + dwellS + t, 20 * Math.exp(-t / bleedS), -1]);
  return samples;
};

describe('worked absorption examples', () => {
  // 12 µA at 1 min and 4 µA at 10 min: index 3.0, exponent .477121 (computed independently of this program).
  test('12 µA falling to 4 µA at 10 min by a pure power of time: index 3.0, exponent .477', () => {
    const reading = read(test20kV(600, (t) => 12 * (t / 60) ** -0.477121));
    expect(reading.polarizationIndex.known && reading.polarizationIndex.value).toBeCloseTo(3, 1);
    expect(reading.oneMinuteUa.known && reading.oneMinuteUa.value).toBeCloseTo(12, 1);
    expect(reading.leakageUa.known && reading.leakageUa.value).toBeCloseTo(4, 1);
    expect(reading.absorption.known && reading.absorption.value.n.value).toBeCloseTo(0.477, 2);
    expect(reading.absorptionRatio.known && reading.absorptionRatio.value).toBeCloseTo(2 ** 0.477121, 1);
  });
  // 2 + 10·t^−0.8, t in minutes: 4.75946 at 5 min (computed independently).
  test('2 + 10·t^−0.8 read after 5 min: 4.76 µA, steady 2 µA, and 15 min later known before it is measured', () => {
    const current = (t: number): number => 2 + 10 * (t / 60) ** -0.8;
    const reading = read(test20kV(300, current));
    expect(reading.leakageUa.known && reading.leakageUa.value).toBeCloseTo(4.75946, 2);
    expect(reading.absorption.known && reading.absorption.value.steadyUa.value).toBeCloseTo(2, 1);
    expect(reading.standard).toMatchObject({ known: true, value: { atMin: 15, extrapolated: true } });
    expect(reading.standard.known && Math.abs(reading.standard.value.ua - current(900))).toBeLessThan(0.02);
  });
  test('the interval of an extrapolation holds the truth: 200 noisy 5-minute tests read at 15 min', () => {
    const random = seededRandom(77);
    const current = (t: number): number => 2 + 30 * t ** -0.7;
    let held = 0;
    for (let k = 0; k < 200; k++) {
      const reading = read(test20kV(300, (t) => current(t) * (1 + 0.005 * random.normal())));
      if (!reading.standard.known) throw new Error(reading.standard.because);
      if (Math.abs(reading.standard.value.ua - current(900)) < 1.645 * reading.standard.value.sdUa) held++;
    }
    expect(held / 200).toBeGreaterThan(0.8);
    expect(held / 200).toBeLessThan(0.97);
  });
});

describe('step tests (UFGS 16302N: equal steps, the same settling time, current against voltage)', () => {
  const byHand = (current: (kv: number) => number): Sample[] =>
    [4, 8, 12, 16, 20]
      .map((kv, i): Sample => [60 * (i + 1), kv, current(kv)])
      .concat([1, 2, 3, 4, 5].map((minute): Sample => [300 + 60 * minute, 20, current(20)]));
  test('written by hand, one row a step: five steps, the last held for six minutes, a straight line is no tip-up', () => {
    const reading = read(byHand((kv) => kv / 4));
    expect(reading.steps.map((step) => [step.voltageKv, step.leakageUa])).toEqual([
      [4, 1],
      [8, 2],
      [12, 3],
      [16, 4],
      [20, 5],
    ]);
    expect(reading.dwellS).toEqual({ known: true, value: 360 });
    expect(reading.tipUp).toMatchObject({ known: true, value: { voltageRatio: 5, suspect: false } });
    expect(reading.outcome).toBe('withstood');
    expect(reading.capacitanceNf.known).toBe(false);
  });
  test('resistance that falls by 30 % from 4 to 20 kV is suspect, by 20 % not (a quarter over 1:5, unverified practice)', () => {
    const falling = (share: number) => byHand((kv) => kv / 4 / (1 - (share * (kv - 4)) / 16));
    expect(read(falling(0.3)).tipUp).toMatchObject({ value: { suspect: true } });
    expect(read(falling(0.2)).tipUp).toMatchObject({ value: { suspect: false } });
  });
});

describe('how a test ended', () => {
  const steady = (): number => 3;
  test('held and lowered: withstood', () => expect(read(test20kV(300, steady)).outcome).toBe('withstood'));
  test('shorter than planned: stopped', () => {
    expect(read(test20kV(300, steady), { dwellS: 900 }).outcome).toBe('stopped');
    expect(read(test20kV(300, steady), { dwellS: 300 }).outcome).toBe('withstood');
    expect(read(test20kV(300, steady), { resultText: 'aborted by operator' }).outcome).toBe('stopped');
  });
  test('current rising at constant voltage, lowered within a minute: stopped, and the rise is told before any pass', () => {
    const reading = read(test20kV(412.5, (t) => 3 + (t > 200 ? 0.02 * (t - 200) : 0)));
    expect(reading.outcome).toBe('stopped');
    expect(reading.trend).toMatchObject({ known: true, value: { rising: true } });
    const held = read(test20kV(900, (t) => 3 + 0.003 * t));
    expect(held.outcome).toBe('withstood');
    expect(held.trend).toMatchObject({ known: true, value: { rising: true } });
  });
  test('a falling or flat noisy current is not called rising: under 1 in 100 of 300 tests', () => {
    const random = seededRandom(5);
    let called = 0;
    for (let k = 0; k < 300; k++) {
      const reading = read(test20kV(300, (t) => 3 + (k % 2 ? 2 * t ** -0.8 : 0) + 0.02 * random.normal()));
      if (reading.trend.known && reading.trend.value.rising) called++;
    }
    expect(called).toBeLessThan(3);
  });
  test('a collapse with a burst of current: breakdown, between the last good sample and the first bad one', () => {
    const good = test20kV(300, steady).filter(([t]) => t <= 200);
    const reading = read([...good, [200.5, 1, 4000], [201, 0, 0], [201.5, 0, 0], [202, 0, 0]]);
    expect(reading).toMatchObject({ outcome: 'breakdown', breakdown: { known: true, value: { atS: 200.25, kv: 20 } } });
    expect(reading.dwellS.known && reading.dwellS.value).toBeCloseTo(180.25, 1);
    expect(reading.leakageUa.known && reading.leakageUa.value).toBeCloseTo(3, 6);
  });
  test('a quick bleed after whole minutes, its current running backwards, is no breakdown', () => {
    expect(read(test20kV(300, steady, 0.4)).outcome).toBe('withstood');
  });
  test('one voltage sample lost to zero is neither breakdown nor end of the dwell', () => {
    const samples = test20kV(300, steady).map((sample): Sample => (sample[0] === 150 ? [150, 0, 3] : sample));
    const reading = read(samples);
    expect(reading.outcome).toBe('withstood');
    expect(reading.dwellS.known && Math.abs(reading.dwellS.value - 300)).toBeLessThan(0.6);
  });
});

describe('the row for machines', () => {
  test('has exactly the agreed keys, null for unknown', () => {
    const row = traceRow('a.csv', read(test20kV(300, (t) => 3 + 20 * t ** -0.8)));
    expect(Object.keys(row)).toEqual(
      'file,ok,reason,outcome,voltage_kv,ramp_kv_per_s,dwell_s,leakage_ua,leakage_spread_ua,resistance_mohm,one_minute_ua,absorption_ratio,absorption_n,steady_ua,capacitance_nf,steps,breakdown_at_s,breakdown_kv'.split(
        ',',
      ),
    );
    expect(row).toMatchObject({
      ok: true,
      reason: null,
      outcome: 'withstood',
      voltage_kv: 20,
      breakdown_at_s: null,
      breakdown_kv: null,
    });
    expect(row.ramp_kv_per_s).toBeCloseTo(1, 3);
    expect(row.capacitance_nf).toBeGreaterThan(48);
    expect(row.steps).toHaveLength(1);
  });
  test('leakage under what the instrument resolves has no resistance, never an endless one', () => {
    const row = traceRow('a.csv', read(test20kV(300, (t) => (t < 1 ? 5 : 0))));
    expect(row.resistance_mohm).toBeNull();
  });
  test('samples that are no test come back with the reason', () => {
    const none = readTrace({
      timeS: Float64Array.of(0, 1),
      voltageKv: Float64Array.of(1, 1),
      currentUa: Float64Array.of(1, 1),
    });
    expect(traceRow('b.csv', none)).toMatchObject({
      ok: false,
      reason: 'only 2 complete samples',
      outcome: null,
      steps: [],
    });
  });
});
