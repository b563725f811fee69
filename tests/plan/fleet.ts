import { seededRandom } from '../../core/numerics/random.ts';
import { DEFAULT_COSTS } from '../../core/plan/defaults.ts';
import type { PlanInputs, SegmentColumns, Wish } from '../../core/plan/inputs.ts';

/** Empty columns for `count` segments: 1 km of duct XLPE, 100 customers, nothing special. */
export function columns(count: number, horizonYears: number) {
  return {
    count,
    ordinal: Int32Array.from({ length: count }, (_, i) => i),
    feeder: new Int32Array(count),
    lengthM: new Float64Array(count).fill(1000),
    splices: new Int32Array(count),
    customers: new Float64Array(count).fill(100),
    peakLoadKva: new Float64Array(count).fill(Number.NaN),
    alternateSupply: new Uint8Array(count),
    criticalLoad: new Uint8Array(count),
    insulation: new Uint8Array(count).fill(2),
    installation: new Uint8Array(count),
    fillable: new Uint8Array(count),
    ageYears: new Float64Array(count).fill(30),
    levelNsPerKm: new Float64Array(count).fill(Number.NaN),
    growthPctPerYear: new Float64Array(count).fill(Number.NaN),
    failureProbability: new Float64Array(count * horizonYears),
    failureProbabilityLo: new Float64Array(count * horizonYears),
    failureProbabilityHi: new Float64Array(count * horizonYears),
    lnHazardSd: new Float64Array(count).fill(Number.NaN),
    testErrorSd: new Float64Array(count).fill(Number.NaN),
  } satisfies SegmentColumns;
}

/** Inputs around the columns: 5 %, new cable that hardly fails, no carry-over, no crew limit. */
export function inputsOf(segments: SegmentColumns, years: number, horizonYears: number, budget: number): PlanInputs {
  return {
    startYear: 2027,
    years,
    horizonYears,
    segments,
    newCable: { failuresPerKmYear: new Float64Array(horizonYears).fill(0.002), lifeYears: 40 },
    costs: { ...DEFAULT_COSTS, perCustomerHour: 25 },
    discountRate: 0.05,
    budget: new Float64Array(years).fill(budget),
    carryOverMax: 0,
    crewKm: new Float64Array(years).fill(Infinity),
    wishes: [],
    customersServed: 20_000,
  };
}

export interface FleetShape {
  readonly seed: number;
  readonly count: number;
  readonly feeders: number;
  readonly years: number;
  readonly horizonYears: number;
  /** Yearly budget as a share of what replacing every segment would cost. */
  readonly budgetShare: number;
  readonly carryOverMax?: number;
  /** Yearly crew kilometres as a share of the fleet's length. */
  readonly crewShare?: number;
  readonly wishes?: readonly Wish[];
}

/** A fleet of segments that differ in everything, the same for the same shape. */
export function randomFleet(shape: FleetShape): PlanInputs {
  const random = seededRandom(shape.seed);
  const { count, horizonYears: horizon } = shape;
  const s = columns(count, horizon);
  let totalCost = 0;
  let totalKm = 0;
  for (let i = 0; i < count; i++) {
    s.ordinal[i] = 1000 + 7 * i;
    s.feeder[i] = 50 + random.integer(shape.feeders);
    s.lengthM[i] = Math.round(150 + 1500 * random.uniform() ** 2);
    s.splices[i] = random.integer(5);
    s.customers[i] = random.uniform() < 0.05 ? Number.NaN : Math.round(Math.exp(4 + 1.2 * random.normal()));
    s.alternateSupply[i] = random.integer(2);
    s.criticalLoad[i] = random.uniform() < 0.1 ? 1 : 0;
    s.insulation[i] = random.integer(5);
    s.installation[i] = random.integer(2);
    s.fillable[i] = random.integer(2);
    s.ageYears[i] = 5 + 45 * random.uniform();
    const growth = 0.04 + 0.05 * random.normal();
    const hazard = (s.lengthM[i]! / 1000) * Math.exp(-4 + 0.04 * s.ageYears[i]! + 0.9 * random.normal());
    s.growthPctPerYear[i] = 100 * growth;
    s.levelNsPerKm[i] = Math.exp(random.normal());
    s.lnHazardSd[i] = 0.2 + random.uniform();
    s.testErrorSd[i] = 0.3 + 0.4 * random.uniform();
    for (let j = 0; j < horizon; j++) {
      const p = -Math.expm1(-Math.min(2, hazard * Math.exp(growth * j)));
      s.failureProbability[i * horizon + j] = p;
      s.failureProbabilityLo[i * horizon + j] = p * 0.6;
      s.failureProbabilityHi[i * horizon + j] = Math.min(1, p * 1.6);
    }
    totalCost += s.lengthM[i]! * DEFAULT_COSTS.replacementPerM[s.installation[i] === 0 ? 'duct' : 'direct_buried'];
    totalKm += s.lengthM[i]! / 1000;
  }
  return {
    ...inputsOf(s, shape.years, horizon, Math.round(totalCost * shape.budgetShare)),
    carryOverMax: shape.carryOverMax ?? 0,
    crewKm: new Float64Array(shape.years).fill(shape.crewShare === undefined ? Infinity : totalKm * shape.crewShare),
    wishes: shape.wishes ?? [],
  };
}
