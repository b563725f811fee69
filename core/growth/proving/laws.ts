import type { SeededRandom } from '../../numerics/random.ts';
import type { Regime } from './regimes.ts';

/**
 * How simulated cables behave. On purpose not the model's laws: temperature is Arrhenius, voltage a hyperbolic sine,
 * the dwell a power law over a steady floor, growth is skewed, bends are curves and not hinges.
 */
export interface FamilyLaw {
  readonly firstYear: number;
  readonly lastYear: number;
  /** ln nS/km ten years ago, and its spread. */
  readonly level: number;
  readonly levelSpread: number;
  /** ln per year, and its spread. */
  readonly growth: number;
  readonly growthSpread: number;
  /** Activation energy, eV. */
  readonly activationEv: number;
  readonly limitNsPerKm: number;
}

/** In the order of `insulationFamilies`; invented, of the size that fleets show. */
export const familyLaws: readonly FamilyLaw[] = [
  {
    firstYear: 1955,
    lastYear: 1980,
    level: 1.6,
    levelSpread: 0.5,
    growth: 0.025,
    growthSpread: 0.025,
    activationEv: 0.52,
    limitNsPerKm: 30,
  },
  {
    firstYear: 1965,
    lastYear: 1978,
    level: 0.6,
    levelSpread: 0.55,
    growth: 0.065,
    growthSpread: 0.03,
    activationEv: 0.42,
    limitNsPerKm: 18,
  },
  {
    firstYear: 1975,
    lastYear: 2005,
    level: 0,
    levelSpread: 0.6,
    growth: 0.045,
    growthSpread: 0.03,
    activationEv: 0.44,
    limitNsPerKm: 8,
  },
  {
    firstYear: 1990,
    lastYear: 2020,
    level: -0.9,
    levelSpread: 0.6,
    growth: 0.018,
    growthSpread: 0.025,
    activationEv: 0.43,
    limitNsPerKm: 2.5,
  },
  {
    firstYear: 1980,
    lastYear: 2020,
    level: 0.3,
    levelSpread: 0.55,
    growth: 0.02,
    growthSpread: 0.03,
    activationEv: 0.56,
    limitNsPerKm: 8,
  },
];

/** A segment's ln specific leakage over time. */
export interface TrueLine {
  level: number;
  slope: number;
  /** Curve added after `bendTime`: bend · (t − bendTime)^1.6. */
  bend: number;
  bendTime: number;
  phaseOffset: number[];
  phase: number;
  phaseSlope: number;
  phaseTime: number;
  drop: number;
  dropTime: number;
}

export function growthDraw(random: SeededRandom, regime: Regime, law: FamilyLaw): TrueLine {
  // Skewed: the square of a normal gives the upper tail that real fleets have.
  const skew = 0.35 * (random.normal() ** 2 - 1);
  let slope = law.growth + law.growthSpread * (0.9 * random.normal() + skew);
  if (random.uniform() < regime.fastShare) slope += 0.03 - 0.06 * Math.log(1 - random.uniform());
  const bent = random.uniform() < regime.bentShare;
  const single = random.uniform() < regime.singlePhaseShare;
  const late = random.uniform() < regime.lateDefectShare;
  const middle = law.level + law.levelSpread * random.normal();
  return {
    level: middle + 10 * slope,
    slope,
    bend: bent ? 0.04 + 0.05 * random.uniform() : 0,
    bendTime: late ? -1.5 - 4.5 * random.uniform() : -3 - 7 * random.uniform(),
    phaseOffset: [0.12 * random.normal(), 0.12 * random.normal(), 0.12 * random.normal()],
    phase: random.integer(3),
    phaseSlope: single ? 0.08 + 0.25 * random.uniform() : 0,
    phaseTime: late ? -1 - 5 * random.uniform() : -20,
    drop: 0,
    dropTime: Number.NEGATIVE_INFINITY,
  };
}

/** ln nS/km of a phase at a time (years from today) at 20 °C and the usual voltage. */
export function levelAt(line: TrueLine, phase: number, time: number): number {
  let sum = line.level + line.slope * time + line.phaseOffset[phase]!;
  if (time > line.bendTime) sum += line.bend * (time - line.bendTime) ** 1.6;
  if (phase === line.phase && time > line.phaseTime) sum += line.phaseSlope * (time - line.phaseTime);
  if (time < line.dropTime) sum += line.drop;
  return sum;
}

const boltzmannEv = 8.617333262e-5;

/** Arrhenius, 0 at 20 °C. */
export function temperatureLog(law: FamilyLaw, temperatureC: number, scale: number): number {
  return ((scale * law.activationEv) / boltzmannEv) * (1 / 293.15 - 1 / (temperatureC + 273.15));
}

/** Conductance over the usual voltage's: sinh(a v) ÷ (v sinh a), with v in usual voltages. */
export function conductionLog(overUsual: number, scale: number): number {
  const a = 0.75 * scale;
  return Math.log(Math.sinh(a * overUsual) / (overUsual * Math.sinh(a)));
}

/** A quarter of the current at fifteen minutes is still absorption, falling as t^−0.6. */
export function dwellLog(minutes: number): number {
  return Math.log(0.75 + 0.25 * (minutes / 15) ** -0.6);
}

export function maintenanceKv(ratedKv: number): number {
  return ratedKv === 15 ? 18 : ratedKv === 25 ? 30 : 39;
}
