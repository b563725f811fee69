import type { FitReport } from '../contract/asks/ranking.ts';
import { crossings } from '../forecast/crossing.ts';
import { type Backtest, backtest } from '../growth/backtest.ts';
import { interventionKinds } from '../growth/columns.ts';
import { companionsOf } from '../growth/companions.ts';
import { phaseBasis, readingBasis } from '../growth/expectReading.ts';
import { fitGrowth } from '../growth/fitGrowth.ts';
import type { GrowthFit } from '../growth/growthFit.ts';
import { flag } from '../growth/normalise.ts';
import { ownShare } from '../growth/ownShare.ts';
import type { SeasonalTemperature } from '../growth/season.ts';
import { failuresUpTo } from '../store/columns.ts';
import { correctionOf } from './correction.ts';
import { dayOf, yearOf } from './days.ts';
import type { Desk } from './desk.ts';
import { eventLevels } from './event-levels.ts';
import { fillStrips } from './fill-strips.ts';
import { type ColumnsRead, readColumns } from './fleet-columns.ts';
import type { StandingColumns, StandingFacts, WorkSteps } from './standings.ts';

/** Years ahead for which crossing is worked out. */
const horizonYears = 15;

export interface Fitted {
  readonly facts: StandingFacts;
  readonly columns: StandingColumns;
  /** How well the fit tells every last test from the earlier ones. */
  readonly tested: Backtest;
}

/** Reads the fleet as known on a day, fits growth and crossing, and lays the answers out for the kept standings. */
export function fitStandings(desk: Desk, asOf: string): Fitted {
  const started = performance.now();
  const read = readColumns(desk, asOf);
  desk.checkStop();
  const fit = fitGrowth(read.columns, {}, (share) => {
    desk.checkStop();
    desk.progress(Math.round(share * 100), 100, 'fitting growth');
  });
  const { segments } = read.columns;
  const ahead = crossings(
    { ...fit.posterior, count: segments.count, limitNsPerKm: segments.limitNsPerKm },
    { horizonYears },
  );
  const tested = backtest(fit);
  const { correct } = correctionOf(tested);
  const year = Number(asOf.slice(0, 4));
  const retired = Uint8Array.from(read.segments, (s) => (s.retiredOn !== null && s.retiredOn <= asOf ? 1 : 0));
  const order = fit.order.filter((i) => retired[i] === 0);
  const rank = new Int32Array(segments.count);
  order.forEach((i, k) => {
    rank[i] = k + 1;
  });
  const eras = presentEras(read);
  const nowYear = yearOf(dayOf(asOf));
  const calendar = (years: Float64Array) => years.map((ahead) => nowYear + ahead);
  const phases = phaseBasis(fit.model);
  const { season } = fit.model.events;
  const columns: StandingColumns = {
    rank,
    order,
    retired,
    energisedYear: Int32Array.from(read.segments, (s) => (s.energisedOn ? Number(s.energisedOn.slice(0, 4)) : 0)),
    growth: fit.segments.growthPctPerYr,
    growthLo: fit.segments.growthLo,
    growthHi: fit.segments.growthHi,
    pGrowing: fit.segments.pGrowing,
    level: fit.segments.levelNsPerKm,
    levelLo: fit.segments.levelLo,
    levelHi: fit.segments.levelHi,
    limit: segments.limitNsPerKm,
    pExceed1: ahead.pExceed1.map(correct),
    pExceed2: ahead.pExceed2.map(correct),
    pExceed5: ahead.pExceed5.map(correct),
    pExceed10: ahead.pExceed10.map(correct),
    crossingYear: calendar(ahead.median),
    crossingLo: calendar(ahead.lo),
    crossingHi: calendar(ahead.hi),
    tests: fit.segments.tests,
    ownShare: ownShares(read, fit),
    pAccelerating: fit.segments.pAccelerating,
    worstPhase: fit.segments.worstPhase,
    worstPhaseGrowth: fit.segments.worstPhaseGrowthPct,
    censoredTests: fit.segments.censoredTests,
    ...plainCompanions(read, fit, eras.day),
    insulation: segments.insulation,
    cohort: fit.cohorts.of,
    eraDay: eras.day,
    eraKind: eras.kind,
    strips: fillStrips(read, fit, year, failuresUpTo(desk.fleet, asOf)),
    partWeight: fit.posterior.weight,
    partLevel: fit.posterior.level,
    partSlope: fit.posterior.slope,
    partLevelVariance: fit.posterior.levelVariance,
    partCovariance: fit.posterior.covariance,
    partSlopeVariance: fit.posterior.slopeVariance,
    phaseLevel: phases.level,
    phaseSlope: phases.slope,
    phaseVariance: phases.variance,
    usualKv: fit.model.events.usualKv,
    seasonC: seasonOfYear(season),
    firstReading: read.firstReading,
    readingAdjusted: Float32Array.from(fit.readings.adjustedNsPerKm),
    readingFlag: fit.readings.flag,
    readingReason: fit.readings.reason,
    readingFactor: Float32Array.from(fit.readings.factor),
    readingSurprise: Float32Array.from(fit.readings.surprise),
  };
  return {
    columns,
    tested,
    facts: {
      asOf,
      year,
      nowYear,
      horizonYears,
      parts: fit.posterior.parts,
      cohorts: cohortGrowths(fit),
      ownerLimits: [...read.ownerLimits],
      slopeSd: Math.sqrt(fit.model.fit.variances.slopeVariance),
      eventSd: Math.sqrt(fit.model.fit.variances.errorVariance),
      reading: readingBasis(fit.model),
      works: workSteps(fit),
      seasonSdC: Math.sqrt(season.variance(Number.NaN)),
      report: reportOf(read, fit, order.length, asOf, (performance.now() - started) / 1000),
    },
  };
}

/** The season on each day of the year, where no temperature of the day is known. */
const seasonOfYear = (season: SeasonalTemperature): Float32Array =>
  Float32Array.from({ length: 366 }, (_, day) => season.at(day, Number.NaN));

function workSteps({ model: { fit, rows } }: GrowthFit): WorkSteps {
  return {
    drops: interventionKinds.map((_, kind) => {
      const at = rows.layout.jump[kind]!;
      return at < 0 ? null : { mean: fit.fixed[at]!, variance: fit.fixedCovariance[at * rows.layout.count + at]! };
    }),
    spreadVariance: fit.variances.stepVariance,
  };
}

/** The last intervention of each segment: where its present era begins. */
function presentEras(read: ColumnsRead): { day: Float64Array; kind: Int8Array } {
  const { interventions, segments } = read.columns;
  const day = new Float64Array(segments.count).fill(Number.NaN);
  const kind = new Int8Array(segments.count).fill(-1);
  for (let k = 0; k < interventions.count; k++) {
    day[interventions.segment[k]!] = interventions.day[k]!;
    kind[interventions.segment[k]!] = interventions.kind[k]!;
  }
  return { day, kind };
}

/** Theil–Sen and Mann–Kendall over the tests of each segment's present era. */
function plainCompanions(read: ColumnsRead, fit: GrowthFit, eraDay: Float64Array) {
  const { count } = read.columns.segments;
  const theilSen = new Float64Array(count).fill(Number.NaN);
  const mannKendallP = new Float64Array(count).fill(Number.NaN);
  const days: number[] = [];
  const logs: number[] = [];
  for (let s = 0; s < count; s++) {
    eventLevels(read, fit.readings.adjustedNsPerKm, s, days, logs);
    const first = Number.isNaN(eraDay[s]!) ? 0 : days.findIndex((day) => day >= eraDay[s]!);
    if (first < 0 || days.length - first < 2) continue;
    const companions = companionsOf(days.slice(first), logs.slice(first));
    theilSen[s] = companions.theilSenPctPerYr;
    mannKendallP[s] = companions.mannKendallP;
  }
  return { theilSen, mannKendallP };
}

/** How much of each segment's growth its own tests carry; NaN without a usable test. */
function ownShares(read: ColumnsRead, fit: GrowthFit): Float64Array {
  const { segments, interventions } = read.columns;
  const shares = new Float64Array(segments.count).fill(Number.NaN);
  const { slopeVariance, errorVariance } = fit.model.fit.variances;
  const spread = { slopeSd: Math.sqrt(slopeVariance), eventSd: Math.sqrt(errorVariance) };
  const days: number[] = [];
  const logs: number[] = [];
  const cuts: number[] = [];
  let k = 0;
  for (let s = 0; s < segments.count; s++) {
    cuts.length = 0;
    while (k < interventions.count && interventions.segment[k]! === s) cuts.push(interventions.day[k++]!);
    eventLevels(read, fit.readings.adjustedNsPerKm, s, days, logs);
    if (days.length > 0) shares[s] = ownShare(days, cuts, spread);
  }
  return shares;
}

/** What a cohort lends: the plain mean growth of its ranked segments. */
function cohortGrowths(fit: GrowthFit): StandingFacts['cohorts'] {
  const sum = new Float64Array(fit.cohorts.count);
  const n = new Float64Array(fit.cohorts.count);
  for (const i of fit.order) {
    sum[fit.cohorts.of[i]!]! += fit.segments.growthPctPerYr[i]!;
    n[fit.cohorts.of[i]!]!++;
  }
  return fit.cohorts.names.map((name, c) => ({ name, growthPctPerYr: n[c]! > 0 ? sum[c]! / n[c]! : 0 }));
}

function reportOf(read: ColumnsRead, fit: GrowthFit, ranked: number, asOf: string, seconds: number): FitReport {
  let repaired = 0;
  let duplicates = 0;
  for (const f of fit.readings.flag) {
    if (f === flag.repaired) repaired++;
    else if (f === flag.duplicate) duplicates++;
  }
  return {
    asOf,
    segments: read.columns.segments.count,
    ranked,
    readings: read.columns.readings.count,
    events: fit.report.events,
    censoredEvents: fit.segments.censoredTests.reduce((a, b) => a + b, 0),
    repairedReadings: repaired,
    duplicateReadings: duplicates,
    passes: fit.report.passes,
    converged: fit.report.converged,
    criterion: fit.report.criterion,
    estimates: fit.report.estimates.map((estimate) => ({
      name: estimate.name,
      value: estimate.value,
      se: Number.isNaN(estimate.standardError) ? null : estimate.standardError,
      unit: estimate.unit,
      prior: estimate.prior
        ? `${Number(estimate.prior.mean.toPrecision(3))} ± ${Number(estimate.prior.sd.toPrecision(2))}, ${estimate.prior.source}`
        : null,
    })),
    seconds,
  };
}
