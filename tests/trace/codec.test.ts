import fc from 'fast-check';
import { expect, test } from 'vitest';
import { seededRandom } from '../../core/numerics/random.ts';
import { decodeTrace, encodeTrace } from '../../core/trace/codec.ts';
import { drawPlan, makeTrace } from './generator/model.ts';

const rounded = (value: number, decimals: number): number => Math.round(value * 10 ** decimals) / 10 ** decimals;

test('15 minutes at 5 samples a second of three quantities, as noisy as a field tester, take under 12 kB, and come back exactly', () => {
  const sizes: number[] = [];
  for (const seed of [3, 17, 41]) {
    const made = makeTrace({
      ...drawPlan(seed),
      kind: 'withstand',
      dwellS: 900,
      periodS: 0.2,
      noiseShare: 0.005,
      lostShare: 0.01,
      digits: 4000,
    });
    const columns = {
      timeS: made.timeS,
      voltageKv: made.voltageKv,
      currentUa: made.currentUa.map((ua) => rounded(ua, 4)),
      resistanceMohm: made.currentUa.map((ua, i) =>
        ua === 0 ? Number.NaN : rounded((1000 * made.voltageKv[i]!) / rounded(ua, 4), 1),
      ),
    };
    expect(made.timeS.length).toBeGreaterThan(4400);
    const stored = encodeTrace(columns);
    sizes.push(stored.length);
    expect(stored.length).toBeLessThan(12_000);
    const back = decodeTrace(stored);
    for (const key of ['timeS', 'voltageKv', 'currentUa', 'resistanceMohm'] as const)
      expect(
        back[key]!.every(
          (value, i) => value === columns[key][i] || (Number.isNaN(value) && Number.isNaN(columns[key][i])),
        ),
      ).toBe(true);
  }
  console.info(`stored sizes: ${sizes.join(', ')} bytes`);
});

test('a resistance that is not V/I, three digits of it, still fits in 12 kB', () => {
  const random = seededRandom(5);
  const count = 4500;
  const columns = {
    timeS: Float64Array.from({ length: count }, (_, i) => rounded(i * 0.2, 1)),
    voltageKv: Float64Array.from({ length: count }, () => rounded(20 + 0.01 * random.normal(), 2)),
    currentUa: Float64Array.from({ length: count }, (_, i) =>
      rounded(2 + 10 * (i + 1) ** -0.8 + 0.01 * random.normal(), 3),
    ),
    resistanceMohm: Float64Array.from({ length: count }, () => 10 * Math.round(1000 + 5 * random.normal())),
  };
  const stored = encodeTrace(columns);
  expect(stored.length).toBeLessThan(12_000);
  expect(decodeTrace(stored)).toEqual(columns);
});

test('any columns come back bit for bit: fractions without an end, empty cells, infinities', () => {
  const cell = fc.oneof(
    fc.double(),
    fc.constant(Number.NaN),
    fc.constant(-0),
    fc.integer().map((n) => n / 1000),
  );
  fc.assert(
    fc.property(fc.array(fc.tuple(cell, cell, cell, cell), { maxLength: 60 }), fc.boolean(), (rows, withR) => {
      const column = (k: 0 | 1 | 2 | 3) => Float64Array.from(rows, (row) => row[k]);
      const columns = {
        timeS: column(0),
        voltageKv: column(1),
        currentUa: column(2),
        resistanceMohm: withR ? column(3) : null,
      };
      const back = decodeTrace(encodeTrace(columns));
      for (const key of ['timeS', 'voltageKv', 'currentUa', 'resistanceMohm'] as const) {
        expect(back[key]?.length).toBe(columns[key]?.length);
        for (let i = 0; i < rows.length; i++)
          if (!Object.is((back[key]?.[i] ?? 0) + 0, (columns[key]?.[i] ?? 0) + 0))
            throw new Error(`${key} ${i}: ${back[key]?.[i]}`);
      }
    }),
    { numRuns: 300, seed: 11 },
  );
});

test('bytes that are no trace are refused, not misread', () => {
  expect(() => decodeTrace(Uint8Array.of(1, 2, 3))).toThrow();
  const good = encodeTrace({
    timeS: Float64Array.of(0, 1),
    voltageKv: Float64Array.of(1, 2),
    currentUa: Float64Array.of(3, 4),
  });
  expect(() => decodeTrace(good.subarray(0, good.length - 2))).toThrow();
});
