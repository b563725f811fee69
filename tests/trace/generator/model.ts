import { type SeededRandom, seededRandom } from '../../../core/numerics/random.ts';

/**
 * A cable under DC as circuit theory has it: capacitance, conduction and Curie–von Schweidler absorption A·t⁻ⁿ
 * (J. Curie 1889; E. von Schweidler 1907), seen through a tester with noise, mains ripple, ranges, and lost samples.
 */
export interface TracePlan {
  readonly kind: 'withstand' | 'steps' | 'breakdown in dwell' | 'breakdown in ramp' | 'stopped in ramp';
  readonly seed: number;
  readonly targetKv: number;
  readonly kvPerS: number;
  readonly dwellS: number;
  readonly stepCount: number;
  readonly stepDwellS: number;
  readonly capacitanceNf: number;
  /** Conduction at the target, µA. */
  readonly steadyUa: number;
  /** Absorption current one second after the target was reached, µA. */
  readonly absorptionUa: number;
  readonly n: number;
  /** True: absorption builds up along the ramp (linear dielectric). False: it starts with the dwell. */
  readonly linearDielectric: boolean;
  readonly periodS: number;
  readonly noiseShare: number;
  readonly noiseUa: number;
  readonly rippleShare: number;
  readonly digits: number;
  readonly lostShare: number;
  readonly rangeGlitches: boolean;
  readonly breakdownShare: number;
}

export interface TraceTruth {
  readonly outcome: 'withstood' | 'breakdown' | 'stopped';
  readonly voltageKv: number;
  readonly dwellS: number | null;
  /** At the end of the dwell, without noise. */
  readonly leakageUa: number | null;
  readonly resolutionUa: number;
  readonly capacitanceNf: number;
  readonly n: number;
  readonly steadyUa: number;
  readonly steps: readonly { readonly voltageKv: number; readonly leakageUa: number }[];
  readonly breakdownAtS: number | null;
  readonly breakdownKv: number | null;
  readonly periodS: number;
}

export interface MadeTrace {
  readonly plan: TracePlan;
  readonly truth: TraceTruth;
  readonly timeS: Float64Array;
  readonly voltageKv: Float64Array;
  readonly currentUa: Float64Array;
}

const between = (random: SeededRandom, low: number, high: number): number => low + (high - low) * random.uniform();
const logBetween = (random: SeededRandom, low: number, high: number): number =>
  low * Math.exp(Math.log(high / low) * random.uniform());
const oneOf = <T>(random: SeededRandom, values: readonly T[]): T => values[random.integer(values.length)]!;

/** A seeded plan; every nuisance is drawn too. */
export const drawPlan = (seed: number): TracePlan => {
  const random = seededRandom(seed);
  const kinds = [
    'withstand',
    'withstand',
    'withstand',
    'withstand',
    'steps',
    'breakdown in dwell',
    'breakdown in ramp',
    'stopped in ramp',
  ] as const;
  const targetKv = oneOf(random, [9, 18, 20, 25, 31, 56, 64, 80]);
  const steadyUa = logBetween(random, 0.4, 60);
  const kind = oneOf(random, kinds);
  const stepCount = 5 + random.integer(3);
  const periodS = oneOf(random, [0.2, 0.5, 0.5, 1]);
  // A step that is over between two samples holds no charging current to read.
  const fastest = kind === 'steps' ? targetKv / stepCount / (6 * periodS) : 2;
  return {
    kind,
    seed,
    targetKv,
    kvPerS: Math.min(between(random, 0.4, 2), fastest),
    dwellS: oneOf(random, [300, 300, 600, 900]) + between(random, -1, 4),
    stepCount,
    stepDwellS: oneOf(random, [60, 120]),
    capacitanceNf: logBetween(random, 40, 600),
    steadyUa,
    absorptionUa: steadyUa * logBetween(random, 3, 30),
    n: between(random, 0.45, 1.15),
    // Near n = 1 most of the charge is absorbed within the ramp, as in a larger capacitance; charge absorbed in earlier steps, or in a ramp no dwell follows, cannot be told from capacitance.
    linearDielectric: (kind === 'withstand' || kind === 'breakdown in dwell') && random.uniform() < 0.4,
    periodS,
    noiseShare: logBetween(random, 0.0005, 0.005),
    noiseUa: logBetween(random, 0.0005, 0.005),
    rippleShare: random.uniform() < 0.5 ? 0 : between(random, 0.001, 0.01),
    digits: oneOf(random, [2000, 4000, 20000]),
    lostShare: random.uniform() < 0.5 ? 0 : between(random, 0.005, 0.03),
    rangeGlitches: random.uniform() < 0.5,
    breakdownShare: between(random, 0.2, 0.95),
  };
};

interface Corner {
  readonly t: number;
  readonly kv: number;
}

/** The voltage as straight pieces; after the last corner the cable is bled. */
const corners = (plan: TracePlan, startS: number): Corner[] => {
  const path: Corner[] = [
    { t: 0, kv: 0 },
    { t: startS, kv: 0 },
  ];
  let t = startS;
  let kv = 0;
  const to = (target: number): void => {
    t += (target - kv) / plan.kvPerS;
    kv = target;
    path.push({ t, kv });
  };
  const hold = (seconds: number): void => {
    t += seconds;
    path.push({ t, kv });
  };
  if (plan.kind === 'steps') {
    for (let k = 1; k <= plan.stepCount; k++) {
      to((plan.targetKv * k) / plan.stepCount);
      hold(k === plan.stepCount ? plan.dwellS : plan.stepDwellS);
    }
  } else if (plan.kind === 'stopped in ramp') {
    to(plan.targetKv * (0.4 + 0.5 * plan.breakdownShare));
  } else {
    to(plan.targetKv);
    hold(plan.dwellS);
  }
  return path;
};

/** Absorption current of a linear dielectric after a ramp, for n below 1; A·t⁻ⁿ once the ramp is long past. */
const absorptionFrom = (rampStart: number, rampEnd: number, t: number, n: number): number => {
  const until = Math.min(rampEnd, t);
  const span = rampEnd - rampStart;
  if (until <= rampStart || span <= 0) return 0;
  const near = t - until;
  const far = t - rampStart;
  return (far ** (1 - n) - near ** (1 - n)) / ((1 - n) * span);
};

export const makeTrace = (plan: TracePlan): MadeTrace => {
  const random = seededRandom(plan.seed * 7919 + 13);
  const startS = between(random, 1, 6);
  const path = corners(plan, startS);
  const endS = path.at(-1)!.t;
  const topKv = path.at(-1)!.kv;
  const rampEndS = path[2]!.t;
  const bleedS = between(random, 1.6, 12);
  const breakdownAtS =
    plan.kind === 'breakdown in dwell'
      ? rampEndS + plan.breakdownShare * plan.dwellS
      : plan.kind === 'breakdown in ramp'
        ? startS + (0.3 + 0.65 * plan.breakdownShare) * (rampEndS - startS)
        : null;
  const kvAt = (t: number): number => {
    if (t >= endS) return topKv * Math.exp(-(t - endS) / bleedS);
    let i = 1;
    while (i < path.length - 1 && t > path[i]!.t) i++;
    const a = path[i - 1]!;
    const b = path[i]!;
    return b.t === a.t ? b.kv : a.kv + ((b.kv - a.kv) * (t - a.t)) / (b.t - a.t);
  };
  const conduction = plan.steadyUa / plan.targetKv;
  const absorbed = plan.absorptionUa / plan.targetKv;
  const linear = plan.linearDielectric && plan.n < 0.85;
  const uaAt = (t: number): number => {
    if (t >= endS) return -0.02 * topKv * Math.exp(-(t - endS) / bleedS);
    const slope = (kvAt(t + 1e-4) - kvAt(Math.max(t - 1e-4, 0))) / 2e-4;
    let ua = plan.capacitanceNf * Math.max(slope, 0) + conduction * kvAt(t);
    for (let i = 1; i < path.length; i++) {
      const a = path[i - 1]!;
      const b = path[i]!;
      if (b.kv <= a.kv) continue;
      if (linear) ua += absorbed * (b.kv - a.kv) * absorptionFrom(a.t, b.t, t, plan.n);
      else if (t > b.t) ua += absorbed * (b.kv - a.kv) * Math.max(t - b.t, 0.2) ** -plan.n;
    }
    return ua;
  };

  const timeS: number[] = [];
  const voltageKv: number[] = [];
  const currentUa: number[] = [];
  const tripUa = 5000;
  const lastS = breakdownAtS === null ? endS + 4 * bleedS : breakdownAtS + 8;
  const mainsHz = oneOf(random, [50, 60]);
  let range = -1;
  for (let k = 0; k * plan.periodS <= lastS; k++) {
    const t = k * plan.periodS;
    const ripple = plan.rippleShare * Math.sin(2 * Math.PI * mainsHz * (t + 0.0007 * random.normal()));
    const broken = breakdownAtS !== null && t >= breakdownAtS;
    const sinceS = broken ? t - breakdownAtS : 0;
    const kv = broken ? 0.02 * topKv * Math.exp(-sinceS) : kvAt(t) * (1 + 0.0004 * random.normal() + 0.1 * ripple);
    const exact = broken ? (sinceS <= Math.max(0.6, plan.periodS) ? tripUa : 0) : uaAt(t);
    const noisy = exact * (1 + plan.noiseShare * random.normal() + ripple) + plan.noiseUa * random.normal();
    const fullScale = rangeOf(noisy);
    const step = fullScale / plan.digits;
    const glitch = plan.rangeGlitches && !broken && range > 0 && fullScale !== range && random.uniform() < 0.5;
    range = fullScale;
    if (random.uniform() < plan.lostShare) continue;
    timeS.push(Math.round(t * 1000) / 1000);
    voltageKv.push(Math.round(kv * 100) / 100);
    currentUa.push(glitch ? 0 : Math.round(noisy / step) * step);
  }

  const held = plan.kind === 'withstand' || plan.kind === 'steps' || plan.kind === 'breakdown in dwell';
  const dwellEndS = plan.kind === 'breakdown in dwell' ? breakdownAtS! : endS;
  const leakageUa = held ? uaAt(dwellEndS - 1e-3) : null;
  const steps: { voltageKv: number; leakageUa: number }[] = [];
  if (held)
    for (let i = 2; i < path.length; i++)
      if (path[i]!.kv === path[i - 1]!.kv)
        steps.push({ voltageKv: path[i]!.kv, leakageUa: uaAt(Math.min(path[i]!.t, dwellEndS) - 1e-3) });
  return {
    plan,
    timeS: Float64Array.from(timeS),
    voltageKv: Float64Array.from(voltageKv),
    currentUa: Float64Array.from(currentUa),
    truth: {
      outcome: breakdownAtS !== null ? 'breakdown' : plan.kind === 'stopped in ramp' ? 'stopped' : 'withstood',
      voltageKv: breakdownAtS !== null && plan.kind === 'breakdown in ramp' ? kvAt(breakdownAtS) : topKv,
      dwellS: held ? dwellEndS - path.at(-2)!.t : null,
      leakageUa,
      resolutionUa: rangeOf(leakageUa ?? 1) / plan.digits,
      capacitanceNf: plan.capacitanceNf,
      n: plan.n,
      steadyUa: plan.steadyUa,
      steps,
      breakdownAtS,
      breakdownKv: breakdownAtS === null ? null : kvAt(breakdownAtS - 1e-3),
      periodS: plan.periodS,
    },
  };
};

/** Decade ranges, changed at full scale. */
const rangeOf = (ua: number): number => 10 ** Math.max(0, Math.ceil(Math.log10(Math.max(Math.abs(ua), 1e-3) / 0.999)));
