import { expect, test } from 'vitest';
import { readSamples } from '../../core/intake/samples/read-samples.ts';
import { readTrace } from '../../core/trace/read-trace.ts';
import { layouts, writeTrace } from './generator/layouts.ts';
import { drawPlan, makeTrace } from './generator/model.ts';

/**
 * A thousand seeded traces of the physical model (capacitance, conduction, Curie–von Schweidler absorption) with
 * noise, quantisation, ranges, mains ripple and lost samples, each written in one of twelve layouts and read back from
 * its bytes. Takes about half a minute: that is what a thousand files cost.
 */
const traces = 1000;

test(`${traces} traces in ${layouts.length} layouts: leakage within 2 % or one step, dwell 1 s, capacitance 5 %, n 0.05, breakdown one sample`, {
  timeout: 600_000,
}, async () => {
  const misses: string[] = [];
  const checked = new Map<string, number>();
  const check = (what: string, seed: number, got: number | null, wanted: number, allowed: number): void => {
    checked.set(what, (checked.get(what) ?? 0) + 1);
    if (got === null || !(Math.abs(got - wanted) <= allowed))
      misses.push(`${what} of trace ${seed}: ${got} for ${wanted} ± ${allowed}`);
  };
  for (let seed = 1; seed <= traces; seed++) {
    const made = makeTrace(drawPlan(seed));
    const { truth, plan } = made;
    const written = await writeTrace(made, seed % layouts.length);
    const file = await readSamples(written.bytes, written.name);
    if (!file.ok) {
      misses.push(`file of trace ${seed} (${written.name}) refused: ${file.because}`);
      continue;
    }
    const reading = readTrace(file.samples);
    if (!reading.ok) {
      misses.push(`trace ${seed}: ${reading.because}`);
      continue;
    }
    checked.set('outcome', (checked.get('outcome') ?? 0) + 1);
    if (reading.outcome !== truth.outcome)
      misses.push(`outcome of trace ${seed}: ${reading.outcome} for ${truth.outcome}`);
    const oneSampleKv = plan.kvPerS * truth.periodS;
    check(
      'voltage',
      seed,
      reading.voltageKv,
      truth.voltageKv,
      Math.max(0.01 * truth.voltageKv, plan.kind.endsWith('in ramp') ? oneSampleKv : 0),
    );
    if (truth.dwellS !== null && truth.leakageUa !== null) {
      check('dwell', seed, reading.dwellS.known ? reading.dwellS.value : null, truth.dwellS, 1);
      check(
        'leakage',
        seed,
        reading.leakageUa.known ? reading.leakageUa.value : null,
        truth.leakageUa,
        Math.max(0.02 * truth.leakageUa, truth.resolutionUa),
      );
      expect(reading.steps.length, `steps of trace ${seed}`).toBe(truth.steps.length);
      for (const [i, step] of truth.steps.entries())
        check('step voltage', seed, reading.steps[i]!.voltageKv, step.voltageKv, 0.01 * truth.voltageKv);
    }
    // Earlier steps go on absorbing, so the exponent is compared where one rise leads to the dwell.
    if (truth.dwellS !== null && plan.kind !== 'steps' && truth.dwellS > 60)
      check('n', seed, reading.absorption.known ? reading.absorption.value.n.value : null, truth.n, 0.05);
    const rampS = plan.kind.endsWith('in ramp') ? truth.voltageKv / plan.kvPerS : plan.targetKv / plan.kvPerS;
    // A rise of a few samples that no dwell follows cannot tell charging from conduction.
    if (truth.dwellS !== null || rampS > 12 * truth.periodS)
      check(
        'capacitance',
        seed,
        reading.capacitanceNf.known ? reading.capacitanceNf.value.value : null,
        truth.capacitanceNf,
        0.05 * truth.capacitanceNf,
      );
    if (truth.breakdownAtS !== null) {
      // Files with absolute times start at the first sample that was not lost.
      const originS = /clock apart|date and time/.test(written.name) ? made.timeS[0]! : 0;
      check(
        'breakdown time',
        seed,
        reading.breakdown.known ? reading.breakdown.value.atS + originS : null,
        truth.breakdownAtS,
        truth.periodS,
      );
      check(
        'breakdown voltage',
        seed,
        reading.breakdown.known ? reading.breakdown.value.kv : null,
        truth.breakdownKv!,
        Math.max(oneSampleKv, 0.01 * truth.breakdownKv!),
      );
    }
  }
  console.info([...checked].map(([what, times]) => `${what} ${times}`).join(', '));
  expect(misses).toEqual([]);
  expect(checked.get('breakdown time')).toBeGreaterThan(150);
  expect(checked.get('n')).toBeGreaterThan(500);
  expect(checked.get('capacitance')).toBeGreaterThan(900);
});
