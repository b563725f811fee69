import { describe, expect, test } from 'vitest';
import type { FleetColumns } from '../../core/growth/columns.ts';
import { fitGrowth } from '../../core/growth/fitGrowth.ts';
import { flag, reason } from '../../core/growth/normalise.ts';
import { plainGrowth } from '../../core/growth/options.ts';
import { predictReading } from '../../core/growth/predictReading.ts';
import { regimes } from '../../core/growth/proving/regimes.ts';
import { simulateFleet } from '../../core/growth/proving/simulateFleet.ts';
import { readJson } from '../reference/readData.ts';

const messy = regimes.find((regime) => regime.name === 'messy')!;
const { columns } = simulateFleet(messy, 500, 5);
const fit = fitGrowth(columns);

function without(reading: (r: number) => boolean): FleetColumns {
  const keep: number[] = [];
  for (let r = 0; r < columns.readings.count; r++) if (!reading(r)) keep.push(r);
  const { readings } = columns;
  const pick = <A extends Float64Array | Int32Array | Uint8Array>(a: A): A =>
    (a as unknown as { constructor: { from(i: number[], f: (r: number) => number): A } }).constructor.from(
      keep,
      (r) => a[r]!,
    );
  return {
    ...columns,
    readings: {
      count: keep.length,
      segment: pick(readings.segment),
      event: pick(readings.event),
      day: pick(readings.day),
      phase: pick(readings.phase),
      voltageKv: pick(readings.voltageKv),
      dwellMin: pick(readings.dwellMin),
      leakageUa: pick(readings.leakageUa),
      belowFloor: pick(readings.belowFloor),
      insulationTempC: pick(readings.insulationTempC),
      ambientTempC: pick(readings.ambientTempC),
      method: pick(readings.method),
      purpose: pick(readings.purpose),
      instrument: pick(readings.instrument),
    },
  };
}

describe('fitting growth', () => {
  test('gives the same answer twice', () => {
    const again = fitGrowth(columns);
    expect(again.segments.growthPctPerYr).toEqual(fit.segments.growthPctPerYr);
    expect(again.order).toEqual(fit.order);
  });

  test('converges and reports what it estimated, each with its unit and where known its prior', () => {
    expect(fit.report.converged).toBe(true);
    const temperature = fit.report.estimates.find((e) => e.name === 'temperature, XLPE')!;
    expect(temperature.prior!.source).toContain('FED-STD-228A');
    expect(temperature.standardError).toBeGreaterThan(0);
    // The simulated law is Arrhenius with 0.44 eV: about 6.2 % per °C between 5 and 20 °C.
    expect(temperature.value).toBeGreaterThan(5);
    expect(temperature.value).toBeLessThan(7.5);
  });

  test('orders by growth, and every interval holds its own median', () => {
    for (let k = 1; k < fit.order.length; k++) {
      expect(fit.segments.growthPctPerYr[fit.order[k]!]).toBeLessThanOrEqual(
        fit.segments.growthPctPerYr[fit.order[k - 1]!]!,
      );
    }
    for (const s of fit.order) {
      expect(fit.segments.growthLo[s]).toBeLessThan(fit.segments.growthMedian[s]!);
      expect(fit.segments.growthMedian[s]).toBeLessThan(fit.segments.growthHi[s]!);
    }
  });

  test('leaves a segment without a usable reading unranked, and its readings tell why', () => {
    const leakageUa = columns.readings.leakageUa.map((ua, r) => (columns.readings.segment[r] === 7 ? 0 : ua));
    const spoiled = fitGrowth({ ...columns, readings: { ...columns.readings, leakageUa } });
    expect(spoiled.order.includes(7)).toBe(false);
    expect(spoiled.segments.growthPctPerYr[7]).toBeNaN();
    expect(spoiled.segments.tests[7]).toBe(0);
    columns.readings.segment.forEach((s, r) => {
      if (s === 7) expect(spoiled.readings.reason[r]).toBe(reason.unusable);
    });
    expect(predictReading(spoiled, 7, plan(columns.asOfDay))).toEqual({
      known: false,
      because: 'no usable reading of this segment',
    });
  });

  test('lends a segment with one test its cohort’s growth, with a wider interval than its own tests gave', () => {
    const middling = fit.order.subarray(200);
    const long = middling.find((s) => fit.segments.tests[s]! >= 5)!;
    const firstEvent = columns.readings.event[columns.readings.segment.indexOf(long)]!;
    const one = fitGrowth(
      without((r) => columns.readings.segment[r] === long && columns.readings.event[r] !== firstEvent),
    );
    const width = (f: typeof fit) => f.segments.growthHi[long]! - f.segments.growthLo[long]!;
    expect(one.segments.tests[long]).toBe(1);
    expect(width(one)).toBeGreaterThan(width(fit));
  });

  test('counts a test entered twice once', () => {
    expect(fit.readings.flag.includes(flag.duplicate)).toBe(true);
    const once = fitGrowth(without((r) => fit.readings.flag[r] === flag.duplicate));
    for (const s of fit.order) {
      expect(once.segments.growthPctPerYr[s]).toBeCloseTo(fit.segments.growthPctPerYr[s]!, 6);
    }
  });

  test('a reading under the floor pulls the level down, never to 0', () => {
    for (let s = 0; s < columns.segments.count; s++) {
      if (fit.segments.censoredTests[s]! > 0) expect(fit.segments.levelNsPerKm[s]).toBeGreaterThan(0);
    }
  });
});

describe('a small fleet', () => {
  test.each([1, 2, 5])(
    'of %i cables invents no certainty: intervals are at least 2 points wide, spreads stay ordinary',
    (n) => {
      for (const seed of [1, 2, 3]) {
        const small = fitGrowth(simulateFleet(messy, n, seed).columns);
        for (const s of small.order) {
          expect(small.segments.growthHi[s]! - small.segments.growthLo[s]!).toBeGreaterThan(2);
        }
        expect(Math.sqrt(small.model.fit.variances.errorVariance)).toBeGreaterThan(0.08);
      }
    },
  );

  test('without a single reading has an empty order and no failure', () => {
    const nothing = fitGrowth(without(() => true));
    expect(nothing.order).toHaveLength(0);
    expect(nothing.report.ranked).toBe(0);
    expect(nothing.segments.growthPctPerYr.every(Number.isNaN)).toBe(true);
  });
});

const plan = (day: number) => ({ phase: 1, voltageKv: 18, dwellMin: 15, insulationTempC: 12, day });

describe('the reading to expect', () => {
  test('rises with voltage and temperature and is less certain years ahead', () => {
    const s = fit.order[0]!;
    const at = (change: object) => {
      const expected = predictReading(fit, s, { ...plan(columns.asOfDay), ...change });
      if (!expected.known) throw new Error(expected.because);
      return expected;
    };
    expect(at({ voltageKv: 24 }).medianUa).toBeGreaterThan(at({}).medianUa);
    expect(at({ insulationTempC: 25 }).medianUa).toBeGreaterThan(at({}).medianUa);
    const width = (e: ReturnType<typeof at>) => Math.log(e.hiUa / e.loUa);
    expect(width(at({ day: columns.asOfDay + 3650 }))).toBeGreaterThan(width(at({})));
  });
});

interface CableEvents {
  readonly events: readonly {
    segment: number;
    event: number;
    cohort: string;
    y: number;
    t10: number;
    dT: number;
    lnv: number;
  }[];
  readonly events_reml: { fixef: Record<string, number>; varcorr: readonly { vcov: number }[] };
}

describe('with every piece but the mixed model switched off', () => {
  test('the whole path from readings to variances equals lme4 to 3 digits (days are whole, times were not)', () => {
    // R 4.2.2, lme4 1.1-31, data lmm_cable_events.json (tests/reference/data/README.md). Cohorts become vintage bands.
    const data = readJson<CableEvents>('../../reference/data/lmm_cable_events.json');
    const asOfDay = 20_000;
    const kv = 18;
    const events = [...data.events].sort((a, b) => a.segment - b.segment || a.t10 - b.t10);
    const names = [...new Set(events.map((e) => e.segment))];
    const year = { c1: 1975, c2: 1990, c3: 2005 } as Record<string, number>;
    const n = events.length;
    const voltage = events.map((e) => kv * Math.exp(e.lnv));
    const plain: FleetColumns = {
      asOfDay,
      segments: {
        count: names.length,
        lengthKm: new Float64Array(names.length).fill(1),
        ratedKv: new Float64Array(names.length).fill(15),
        insulation: new Uint8Array(names.length).fill(2),
        energisedDay: Float64Array.from(
          names,
          (name) => (year[events.find((e) => e.segment === name)!.cohort]! - 1970) * 365.25,
        ),
        limitNsPerKm: new Float64Array(names.length).fill(Number.NaN),
      },
      readings: {
        count: n,
        segment: Int32Array.from(events, (e) => names.indexOf(e.segment)),
        event: Int32Array.from(events, (_, i) => i),
        day: Int32Array.from(events, (e) => Math.round(asOfDay + e.t10 * 3652.5)),
        phase: new Uint8Array(n),
        voltageKv: Float64Array.from(voltage),
        dwellMin: new Float64Array(n).fill(15),
        leakageUa: Float64Array.from(events, (e, i) => Math.exp(e.y) * voltage[i]!),
        belowFloor: new Uint8Array(n),
        insulationTempC: Float64Array.from(events, (e) => 20 + e.dT),
        ambientTempC: new Float64Array(n).fill(Number.NaN),
        method: new Uint8Array(n),
        purpose: new Uint8Array(n).fill(1),
        instrument: new Int32Array(n).fill(-1),
      },
      interventions: { count: 0, segment: new Int32Array(0), day: new Int32Array(0), kind: new Uint8Array(0) },
    };
    const ours = fitGrowth(plain, { ...plainGrowth, smallestCohort: 1 });
    const { layout } = ours.model.rows;
    const reference = data.events_reml;
    const near = (value: number, expected: number) => expect(Math.abs(value / expected - 1)).toBeLessThan(2e-3);
    near(ours.model.fit.fixed[layout.temperature[2]!]!, reference.fixef.dT!);
    near(ours.model.fit.fixed[layout.voltage]!, reference.fixef.lnv!);
    near(ours.model.fit.variances.levelVariance, reference.varcorr[0]!.vcov);
    near(ours.model.fit.variances.slopeVariance * 100, reference.varcorr[1]!.vcov);
    near(ours.model.fit.variances.errorVariance, reference.varcorr[3]!.vcov);
  });
});
