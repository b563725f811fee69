import { refuse } from '../contract/problem.ts';
import type { PlanQuestion, PlanWish } from '../contract/shapes/plan.ts';
import type { FailureModel } from '../forecast/failure/fit.ts';
import { forecastFailures } from '../forecast/failure/forecast.ts';
import { insulationFamilies } from '../growth/columns.ts';
import { INSTALLATIONS, type PlanInputs, type SegmentColumns, type Wish } from '../plan/inputs.ts';
import { withChange } from '../plan/what-if.ts';
import { modelSegments, splicesInService } from '../store/columns.ts';
import { customersServed, injectedSegments, type PlanSegment, planSegments } from '../store/plans.ts';
import { type Desk, today } from './desk.ts';
import { type FailureRisk, failureRisk } from './failure-risk.ts';
import { planCosts } from './plan-costs.ts';
import { type Standings, standingsAsOf } from './standings.ts';

/** A segment's new cable: what is laid today, watched by tests, well under its limit. */
const newInsulation = 'TR-XLPE';
const newGrowthPerYear = 0.02;
const newLevelToLimit = 0.05;

export interface PlanBasis {
  readonly inputs: PlanInputs;
  readonly standings: Standings;
  readonly risk: FailureRisk;
  /** In the order of the ordinals that the plan's items carry. */
  readonly segments: readonly PlanSegment[];
}

/** Everything a plan is made from, out of the fleet as it stands. Refuses where no failure model can be had. */
export function planBasis(desk: Desk, question: PlanQuestion): PlanBasis {
  const asOf = today(desk);
  const standings = standingsAsOf(desk, asOf);
  const start = question.start ?? standings.year + 1;
  const horizonYears = Math.max(question.horizon, question.years);
  const risk = failureRisk(desk, asOf, horizonYears);
  if (!risk.model.known || !risk.forecast)
    throw refuse('too-few', `No plan without a failure model: ${risk.model.known ? '' : risk.model.because}.`);
  const segments = planSegments(desk.fleet);
  const inputs: PlanInputs = {
    startYear: start,
    years: question.years,
    horizonYears,
    segments: segmentColumns(desk, standings, risk, segments, horizonYears),
    newCable: {
      failuresPerKmYear: newCableHazard(risk.model as FailureModel, horizonYears),
      lifeYears: 40,
    },
    costs: planCosts(desk.fleet),
    discountRate: question.discountRate,
    budget: new Float64Array(question.years).fill(question.budget),
    carryOverMax: question.carryOver ? Number.POSITIVE_INFINITY : 0,
    crewKm: new Float64Array(question.years).fill(question.crewKm ?? Number.POSITIVE_INFINITY),
    wishes: wishesOf(question.wishes, segments),
    customersServed: customersServed(desk.fleet),
  };
  return {
    inputs: question.hazardGrowth === 0 ? inputs : withChange(inputs, { hazardGrowthPerYear: question.hazardGrowth }),
    standings,
    risk,
    segments,
  };
}

function wishesOf(wishes: readonly PlanWish[], segments: readonly PlanSegment[]): Wish[] {
  const ordinal = new Map(segments.map((segment, i) => [segment.ownerId, i]));
  return wishes.map((wish): Wish => {
    const segment = ordinal.get(wish.segment);
    if (segment === undefined)
      throw refuse('not-found', `A wish names segment '${wish.segment}', which is not in this fleet.`, {
        where: 'wishes',
      });
    if (wish.kind === 'pin') return { kind: 'pin', segment, year: wish.year };
    return {
      kind: wish.kind,
      segment,
      ...(wish.fromYear === undefined ? {} : { fromYear: wish.fromYear }),
      ...(wish.toYear === undefined ? {} : { toYear: wish.toYear }),
    };
  });
}

/** Failures per km and year of three-phase new cable, by age. */
function newCableHazard(model: FailureModel, years: number): Float64Array {
  const forecast = forecastFailures(
    model,
    {
      count: 1,
      ageYears: Float64Array.of(0),
      family: Uint8Array.of(insulationFamilies.indexOf(newInsulation)),
      conductorKm: Float64Array.of(3),
      splicesPerKm: Float64Array.of(1),
      growthPerYear: Float64Array.of(newGrowthPerYear),
      lnLevelToLimit: Float64Array.of(Math.log(newLevelToLimit)),
    },
    years,
  );
  return forecast.probability.map((p) => -Math.log1p(-p));
}

/** Retired segments are left out; `ordinal` is the place in `planSegments`. */
function segmentColumns(
  desk: Desk,
  standings: Standings,
  risk: FailureRisk,
  rows: readonly PlanSegment[],
  horizonYears: number,
): SegmentColumns {
  const { fleet } = desk;
  const model = modelSegments(fleet);
  const splices = new Map(splicesInService(fleet, standings.asOf).map((row) => [row.segmentId, row.splices]));
  const injected = injectedSegments(fleet);
  const feeders = new Map<string, number>();
  const feederM = new Map<string, number>();
  for (const row of model) feederM.set(row.feederId, (feederM.get(row.feederId) ?? 0) + row.lengthM);
  const keep: number[] = [];
  for (let i = 0; i < model.length; i++) if (!standings.retired[i]) keep.push(i);
  const forecast = risk.forecast!;
  const cut = (column: Float64Array) => {
    const out = new Float64Array(keep.length * horizonYears);
    keep.forEach((i, k) => {
      out.set(column.subarray(i * horizonYears, (i + 1) * horizonYears), k * horizonYears);
    });
    return out;
  };
  const number = (of: (i: number) => number) => Float64Array.from(keep, of);
  const flag = (of: (i: number) => boolean) => Uint8Array.from(keep, (i) => Number(of(i)));
  const doubt = hazardDoubt(standings, risk.model as FailureModel);
  return {
    count: keep.length,
    ordinal: Int32Array.from(keep),
    feeder: Int32Array.from(keep, (i) => {
      const id = model[i]!.feederId;
      if (!feeders.has(id)) feeders.set(id, feeders.size);
      return feeders.get(id)!;
    }),
    lengthM: number((i) => model[i]!.lengthM),
    splices: Int32Array.from(keep, (i) => splices.get(model[i]!.id) ?? 0),
    customers: number((i) => model[i]!.customers ?? Number.NaN),
    peakLoadKva: number(
      (i) => (rows[i]!.peakLoadKva ?? Number.NaN) * (model[i]!.lengthM / feederM.get(model[i]!.feederId)!),
    ),
    alternateSupply: flag((i) => model[i]!.alternateSupply === 1),
    criticalLoad: flag((i) => model[i]!.criticalLoad === 1),
    insulation: Uint8Array.from(keep, (i) => standings.insulation[i]!),
    installation: Uint8Array.from(keep, (i) =>
      Math.max(0, INSTALLATIONS.indexOf((model[i]!.installation ?? 'duct') as (typeof INSTALLATIONS)[number])),
    ),
    // Stranded and unfilled is what most of these families were; the owner's records know no better.
    fillable: flag((i) => !injected.has(model[i]!.id)),
    ageYears: number((i) => risk.now.ageYears[i]!),
    levelNsPerKm: number((i) => standings.level[i]!),
    growthPctPerYear: number((i) => standings.growth[i]!),
    failureProbability: cut(forecast.probability),
    failureProbabilityLo: cut(forecast.low),
    failureProbabilityHi: cut(forecast.high),
    lnHazardSd: number((i) => doubt(i).sd),
    testErrorSd: number((i) => doubt(i).testErrorSd),
  };
}

/**
 * How far a segment's ln hazard is in doubt because its growth and level are, and the error with which one more test a
 * year from now would show it: the reading is a level with the usual error of a test.
 */
function hazardDoubt(standings: Standings, model: FailureModel) {
  const coefficient = (kind: string) => {
    const j = model.design.terms.findIndex((term) => term.kind === kind);
    return j < 0 ? 0 : model.weibull.coefficients[j]!;
  };
  const byGrowth = coefficient('growth') / 0.1;
  const byLevel = coefficient('level') / Math.LN2;
  return (i: number): { sd: number; testErrorSd: number } => {
    const unknown = { sd: Number.NaN, testErrorSd: Number.NaN };
    if (standings.rank[i] === 0) return unknown;
    const { level, slope, both } = mixtureCovariance(standings, i);
    const variance = byLevel ** 2 * level + byGrowth ** 2 * slope + 2 * byLevel * byGrowth * both;
    const shown = byLevel * (level + both) + byGrowth * (both + slope);
    const reading = level + 2 * both + slope + standings.eventSd ** 2;
    const explained = (shown * shown) / reading;
    if (!(variance > 0) || !(explained > 0)) return unknown;
    return { sd: Math.sqrt(variance), testErrorSd: Math.sqrt(Math.max(1e-12, variance * (variance / explained - 1))) };
  };
}

/** Covariance of level and slope over the mixture. */
function mixtureCovariance(standings: Standings, i: number): { level: number; slope: number; both: number } {
  let meanLevel = 0;
  let meanSlope = 0;
  let level = 0;
  let slope = 0;
  let both = 0;
  for (let k = i * standings.parts; k < (i + 1) * standings.parts; k++) {
    const w = standings.partWeight[k]!;
    if (w === 0) continue;
    const l = standings.partLevel[k]!;
    const s = standings.partSlope[k]!;
    meanLevel += w * l;
    meanSlope += w * s;
    level += w * (standings.partLevelVariance[k]! + l * l);
    slope += w * (standings.partSlopeVariance[k]! + s * s);
    both += w * (standings.partCovariance[k]! + l * s);
  }
  return {
    level: level - meanLevel * meanLevel,
    slope: slope - meanSlope * meanSlope,
    both: both - meanLevel * meanSlope,
  };
}
