import { median } from '../numerics/quantile.ts';
import { storedEnergyJ } from '../trade/geometry.ts';
import { resistanceMohm } from '../trade/insulation-resistance.ts';
import { known, type Maybe, unknown } from '../trade/source.ts';
import { tipUpRule } from '../trade/step-test.ts';
import { type AbsorptionFit, fitAbsorption } from './absorption-fit.ts';
import { type Breakdown, findBreakdown } from './breakdown.ts';
import { findRises, type Rise, rampCapacitance } from './capacitance.ts';
import { type CurrentTrend, currentAtTime, currentTrend, type LocalCurrent, rowsBetween } from './current.ts';
import { type Dwell, findDwells } from './dwells.ts';
import { dwellsByHand, looksWrittenByHand } from './manual.ts';
import { judgeOutcome } from './outcome.ts';
import type { StepReading, TipUp, TracePlan, TraceReading, UnreadTrace } from './reading.ts';
import { type CleanSamples, cleanSamples, type TraceSamples } from './samples.ts';

/**
 * What the samples say: ramp, steps, dwell, leakage, absorption, capacitance, breakdown. Needs only samples, knows no
 * cable. Never throws on numbers; a trace that cannot be read comes back with the reason.
 */
export const readTrace = (raw: TraceSamples, plan: TracePlan = {}): TraceReading | UnreadTrace => {
  const s = cleanSamples(raw);
  if ('because' in s) return { ok: false, because: s.because };
  const byHand = looksWrittenByHand(s);
  const every = byHand ? dwellsByHand(s) : findDwells(s);
  const breakdown = byHand
    ? null
    : findBreakdown(
        s,
        every.map((dwell) => dwell.startS),
      );
  const dwells = upToTop(every, breakdown, s);
  const main = dwells.at(-1) ?? null;
  const until = breakdown?.before ?? main?.last ?? highest(s);
  const rises = byHand ? [] : findRises(s, dwells, until);
  const lastRise = rises.at(-1);
  const rampKvPerS =
    rises.length > 0
      ? known(median(rises.map((rise) => rise.kvPerS)))
      : unknown('no rise of voltage with enough samples');

  const trend = main ? currentTrend(s, main.first, main.last, main.startS, main.endS) : null;
  const curve = main ? absorptionOf(s, main, dwells.length === 1 && lastRise ? lastRise.kvPerS : null, trend) : null;
  const fit = curve !== null && !('because' in curve) ? curve : null;
  const end = main ? currentNear(s, main, main.endS - main.startS, fit) : null;
  const at = (t: number): Maybe<number> => currentAfter(s, main, t, fit);
  const one = at(60);
  const steps = dwells.map((dwell) => stepReading(s, dwell, dwell === main ? end : null));
  const noDwell = unknown('no voltage was held for long enough');
  const conductionNs = main && end ? (fit?.steadyUa ?? end.ua) / main.voltageKv : null;
  const capacitance = rampCapacitance(s, rises, conductionNs, rampAbsorption(s, main, fit));
  const voltageKv = main?.voltageKv ?? breakdown?.voltageKv ?? s.voltageKv[highest(s)]!;
  const outcome = judgeOutcome(s, main, breakdown, trend, plan);

  return {
    ok: true,
    outcome: outcome.outcome,
    outcomeBecause: outcome.because,
    polarity: s.polarity,
    voltageKv,
    rampKvPerS,
    dwellS: main ? known(main.endS - main.startS) : noDwell,
    leakageUa: end ? known(end.ua) : noDwell,
    leakageSdUa: end ? known(end.sdUa) : noDwell,
    leakageSpreadUa: end ? known(end.spreadUa) : noDwell,
    leakageResolutionUa:
      end && end.stepUa > 0 ? known(end.stepUa) : unknown('the current never changed in the last seconds'),
    resistanceMohm: main && end ? resistanceOf(main.voltageKv, end) : noDwell,
    oneMinuteUa: one,
    absorptionRatio: ratio(at(30), one),
    polarizationIndex: ratio(one, at(600)),
    absorption:
      fit === null
        ? unknown(curve && 'because' in curve ? curve.because : noDwell.because)
        : known({
            n: { value: fit.n, sd: fit.sdN },
            aUa: fit.aUa,
            steadyUa: { value: fit.steadyUa, sd: fit.sdSteadyUa },
            shape: fit.shape,
          }),
    standard: standardReading(main, fit, at, plan.standardReadingMin ?? 15, end),
    trend: trend ? known(trend) : unknown('the dwell has too few samples for a trend'),
    steps,
    tipUp: tipUpOf(steps),
    capacitanceNf: capacitance
      ? known({ value: capacitance.nf, sd: capacitance.sdNf })
      : unknown('the rise of voltage has too few samples'),
    breakdown: breakdown
      ? known({ atS: breakdown.atS, kv: breakdown.voltageKv, sign: breakdown.sign })
      : unknown('the voltage did not collapse'),
    discharge: dischargeOf(s, main, breakdown),
    storedEnergyJ: capacitance
      ? known(storedEnergyJ(capacitance.nf, voltageKv))
      : unknown('the capacitance is not known'),
  };
};

const highest = (s: CleanSamples): number =>
  s.voltageKv.reduce((best, kv, i) => (kv > s.voltageKv[best]! ? i : best), 0);

/** The dwells that lead up to the highest one held, cut where a breakdown ended it. */
const upToTop = (every: readonly Dwell[], breakdown: Breakdown | null, s: CleanSamples): readonly Dwell[] => {
  const before = breakdown ? every.filter((dwell) => dwell.first <= breakdown.before) : every;
  const topKv = Math.max(0, ...before.map((dwell) => dwell.voltageKv));
  const top = before.filter((dwell) => dwell.voltageKv >= 0.97 * topKv);
  const main = top.reduce<Dwell | null>(
    (best, dwell) => (best && best.endS - best.startS >= dwell.endS - dwell.startS ? best : dwell),
    null,
  );
  if (main === null) return [];
  const steps: Dwell[] = [];
  for (const dwell of before) {
    if (dwell.first > main.first) break;
    const rising = dwell.voltageKv > (steps.at(-1)?.voltageKv ?? 0) * 1.02;
    if (dwell === main || (rising && dwell.voltageKv < 0.97 * main.voltageKv)) steps.push(dwell);
  }
  if (breakdown === null || breakdown.before < main.first || breakdown.atS > main.endS + 3 * s.periodS) return steps;
  return [...steps.slice(0, -1), { ...main, last: Math.min(main.last, breakdown.before), endS: breakdown.atS }];
};

const absorptionOf = (s: CleanSamples, main: Dwell, kvPerS: number | null, trend: CurrentTrend | null) =>
  fitAbsorption(s, main.first, main.last, main.startS, kvPerS ? main.voltageKv / kvPerS : 0, trend?.rising ?? false);

/** In a linear dielectric A·t⁻ⁿ builds up along the ramp: A·t¹⁻ⁿ/((1−n)·T) after t of a ramp that takes T. */
const rampAbsorption =
  (s: CleanSamples, main: Dwell | null, fit: AbsorptionFit | null) =>
  (rise: Rise, i: number): number => {
    if (main === null || fit === null || fit.shape !== 'ramp' || fit.n >= 0.97 || rise.last >= main.first) return 0;
    const rampS = main.voltageKv / rise.kvPerS;
    const t = s.timeS[i]! - (main.startS - rampS);
    return t > 0 ? (fit.aUa * t ** (1 - fit.n)) / ((1 - fit.n) * rampS) : 0;
  };

/** The current `t` seconds into a dwell: samples nearby, and the curve through the whole dwell where it agrees with them. */
const currentNear = (s: CleanSamples, dwell: Dwell, t: number, fit: AbsorptionFit | null): LocalCurrent | null => {
  const atS = dwell.startS + t;
  const dwellS = dwell.endS - dwell.startS;
  const atEnd = t >= dwellS - 1e-9;
  const halfS = atEnd ? Math.min(30, Math.max(10, 0.04 * dwellS)) : Math.min(10, Math.max(2.5, 0.1 * t));
  const [low, high] = rowsBetween(
    s,
    dwell.first,
    dwell.last,
    atS - halfS,
    atEnd ? atS : atS + halfS,
    Math.min(8, dwell.last - dwell.first + 1),
  );
  const local = currentAtTime(s, low, high, atS);
  if (local === null || fit === null) return local;
  const curve = fit.at(t);
  const sdLocal = Math.hypot(local.sdUa, 0.15 * local.stepUa, 1e-9);
  const sdCurve = Math.hypot(curve.sdUa, 0.003 * curve.ua);
  if (Math.abs(curve.ua - local.ua) > 3 * Math.hypot(sdLocal, sdCurve) + 0.3 * local.stepUa) return local;
  const weight = 1 / sdLocal ** 2;
  const weightCurve = 1 / sdCurve ** 2;
  return {
    ...local,
    ua: (local.ua * weight + curve.ua * weightCurve) / (weight + weightCurve),
    sdUa: 1 / Math.sqrt(weight + weightCurve),
  };
};

const currentAfter = (s: CleanSamples, main: Dwell | null, t: number, fit: AbsorptionFit | null): Maybe<number> => {
  if (main === null) return unknown('no voltage was held for long enough');
  if (main.endS - main.startS < t - 1.5) return unknown(`the dwell ended before ${t} s`);
  const near = currentNear(s, main, Math.min(t, main.endS - main.startS), fit);
  return near ? known(near.ua) : unknown('too few samples near that time');
};

const ratio = (early: Maybe<number>, late: Maybe<number>): Maybe<number> =>
  !early.known
    ? early
    : !late.known
      ? late
      : early.value > 0 && late.value > 0
        ? known(early.value / late.value)
        : unknown('a current of zero or below');

const resistanceOf = (voltageKv: number, current: LocalCurrent): Maybe<number> =>
  current.ua > Math.max(current.stepUa / 2, 1e-9)
    ? known(resistanceMohm(voltageKv, current.ua))
    : unknown('the leakage is below what the instrument resolves');

const stepReading = (s: CleanSamples, dwell: Dwell, end: LocalCurrent | null): StepReading => {
  const current = end ?? currentNear(s, dwell, dwell.endS - dwell.startS, null);
  return {
    voltageKv: dwell.voltageKv,
    leakageUa: current?.ua ?? median(s.currentUa.subarray(dwell.first, dwell.last + 1)),
    leakageSpreadUa: current?.spreadUa ?? 0,
    startS: dwell.startS,
    dwellS: dwell.endS - dwell.startS,
    resistanceMohm: current ? resistanceOf(dwell.voltageKv, current) : unknown('too few samples'),
  };
};

const standardReading = (
  main: Dwell | null,
  fit: AbsorptionFit | null,
  at: (t: number) => Maybe<number>,
  atMin: number,
  end: LocalCurrent | null,
): TraceReading['standard'] => {
  if (main === null || end === null) return unknown('no voltage was held for long enough');
  const t = atMin * 60;
  if (main.endS - main.startS >= t - 1.5) {
    const read = at(t);
    return read.known
      ? known({ atMin, ua: read.value, sdUa: fit ? fit.at(t).sdUa : end.sdUa, extrapolated: false })
      : read;
  }
  if (fit === null) return unknown(`the dwell ended before ${atMin} min and its current could not be continued`);
  const beyond = fit.at(t);
  return known({ atMin, ua: beyond.ua, sdUa: beyond.sdUa, extrapolated: true });
};

const tipUpOf = (steps: readonly StepReading[]): Maybe<TipUp> => {
  const measured = steps.filter((step) => step.resistanceMohm.known);
  const low = measured[0]?.resistanceMohm;
  const high = measured.at(-1)?.resistanceMohm;
  if (measured.length < 2 || !low?.known || !high?.known) return unknown('fewer than two steps with a resistance');
  const voltageRatio = measured.at(-1)!.voltageKv / measured[0]!.voltageKv;
  const fall = 1 - high.value / low.value;
  const allowed = (tipUpRule.resistanceFallShare * Math.log(voltageRatio)) / Math.log(tipUpRule.voltageRatio);
  return known({ resistanceFallShare: fall, voltageRatio, suspect: fall > allowed });
};

const dischargeOf = (s: CleanSamples, main: Dwell | null, breakdown: Breakdown | null): TraceReading['discharge'] => {
  if (main === null || breakdown !== null) return unknown(breakdown ? 'the cable broke down' : 'no voltage was held');
  if (main.last >= s.timeS.length - 1) return unknown('the record ends before the voltage was taken off');
  let tenth: number | null = null;
  for (let i = main.last + 1; i < s.timeS.length; i++)
    if (s.voltageKv[i]! <= main.voltageKv / 10) {
      tenth = s.timeS[i]! - main.endS;
      break;
    }
  return known({
    startS: main.endS,
    toTenthS: tenth === null ? unknown('the record ends above a tenth of the voltage') : known(tenth),
    residualKv: s.voltageKv[s.voltageKv.length - 1]!,
  });
};
