import { describe, expect, test } from 'vitest';
import { testCorrection } from '../../core/growth/adjusted.ts';
import { fitGrowth } from '../../core/growth/fitGrowth.ts';
import { predictReading } from '../../core/growth/predictReading.ts';
import { conductionLog } from '../../core/growth/proving/laws.ts';
import { regimes } from '../../core/growth/proving/regimes.ts';
import { simulateFleet } from '../../core/growth/proving/simulateFleet.ts';
import { voltageBend } from '../../core/growth/voltageBend.ts';

describe('the bend of the rise with voltage', () => {
  test('makes an exponential of the voltage with the power beside it, exactly, within four times the usual', () => {
    for (const v of [0.3, 0.75, 1, 2, 4])
      expect(0.7 * Math.log(v) + 0.7 * voltageBend(Math.log(v))).toBeCloseTo(0.7 * (v - 1), 12);
  });

  test('is 0 and flat at the usual voltage, never negative, and no longer rises where only a slip can be', () => {
    expect(voltageBend(0)).toBe(0);
    expect(Math.abs(voltageBend(1e-6))).toBeLessThan(1e-11);
    for (let log = -3.4; log <= 3.4; log += 0.1) expect(voltageBend(log)).toBeGreaterThanOrEqual(0);
    expect(voltageBend(Math.log(900))).toBe(voltageBend(Math.log(4)));
    expect(voltageBend(-Math.log(900))).toBe(voltageBend(-Math.log(4)));
  });

  // No outside source: the simulated cables conduct as a hyperbolic sine of the voltage, which the model does not know.
  const { columns } = simulateFleet(regimes.find(({ name }) => name === 'plain')!, 800, 6);
  const bent = fitGrowth(columns);
  const straight = fitGrowth(columns, { voltageCurve: false });

  /** ln by which the correction holds that a test at three times the usual voltage lies above one at the usual. */
  function rise({ model }: typeof bent): number {
    const { events, fit, rows } = model;
    const e = events.logVoltage.findIndex((log) => Math.abs(log - Math.log(3)) < 1e-9);
    const family = columns.segments.insulation[events.segment[e]!]!;
    const warm = fit.fixed[rows.layout.temperature[family]!]! * (events.temperatureC[e]! - 20);
    return testCorrection(model, e) - warm - fit.fixed[rows.layout.dwell]! * events.logDwell[e]!;
  }

  test('corrects tests at three times the usual voltage as cables conduct that follow neither law, where a power alone fails', () => {
    expect(Math.abs(rise(bent) - conductionLog(3, 1))).toBeLessThan(0.06);
    expect(Math.abs(rise(straight) - conductionLog(3, 1))).toBeGreaterThan(0.12);
  });

  test('stands among the estimates, and in a reading that is foretold at another voltage', () => {
    const named = (fit: typeof bent) => fit.report.estimates.find(({ name }) => name.startsWith('bend of the rise'));
    expect(named(straight)).toBeUndefined();
    const bend = named(bent)!;
    expect(bend.value).toBeGreaterThan(4 * bend.standardError);
    const { voltage, voltageCurve } = bent.model.rows.layout;
    const usual = bent.model.events.usualKv[0]!;
    const at = (voltageKv: number) => {
      const planned = { phase: 0, voltageKv, dwellMin: 15, insulationTempC: 20, day: columns.asOfDay };
      const found = predictReading(bent, 0, planned);
      return found.known ? Math.log(found.medianUa / voltageKv) : Number.NaN;
    };
    const fixed = bent.model.fit.fixed;
    const expected = fixed[voltage]! * Math.log(2) + fixed[voltageCurve]! * (1 - Math.log(2));
    expect(at(2 * usual) - at(usual)).toBeCloseTo(expected, 6);
  });
});
