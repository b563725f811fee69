import { type SeededRandom, seededRandom } from '../../numerics/random.ts';
import type { FleetColumns } from '../columns.ts';
import {
  conductionLog,
  dwellLog,
  familyLaws,
  growthDraw,
  levelAt,
  maintenanceKv,
  type TrueLine,
  temperatureLog,
} from './laws.ts';
import type { Regime } from './regimes.ts';

/** What the simulated fleet is in truth. */
export interface FleetTruth {
  /** % per year, today, of the mean over the phases. */
  readonly growthPctPerYr: Float64Array;
  /** nS/km today. */
  readonly levelNsPerKm: Float64Array;
  /** 1 where the level passes the limit at some time within five years. */
  readonly exceedsIn5y: Uint8Array;
  /** 1 where it bends upward, or one of its phases ages on its own. */
  readonly accelerating: Uint8Array;
}

export interface SimulatedFleet {
  readonly columns: FleetColumns;
  readonly truth: FleetTruth;
}

const yearDays = 365.25;
const asOfDay = 20_454;
const recordYears = 20;

interface Draft {
  segment: number;
  day: number;
  readings: { phase: number; ua: number; below: boolean }[];
  kv: number;
  dwell: number;
  temperature: number;
  ambient: number;
  instrument: number;
  purpose: number;
}

/** A fleet with known truth. The same regime, size and seed give the same fleet. */
export function simulateFleet(regime: Regime, segmentCount: number, seed: number): SimulatedFleet {
  const random = seededRandom(seed);
  const n = segmentCount;
  const lengthKm = new Float64Array(n);
  const ratedKv = new Float64Array(n);
  const insulation = new Uint8Array(n);
  const energisedDay = new Float64Array(n);
  const limitNsPerKm = new Float64Array(n);
  const truth = {
    growthPctPerYr: new Float64Array(n),
    levelNsPerKm: new Float64Array(n),
    exceedsIn5y: new Uint8Array(n),
    accelerating: new Uint8Array(n),
  };
  const drafts: Draft[] = [];
  const interventions: { segment: number; day: number; kind: number }[] = [];
  for (let s = 0; s < n; s++) {
    const family = pickFamily(random);
    const law = familyLaws[family]!;
    insulation[s] = family;
    lengthKm[s] = Math.exp(Math.log(0.4) + 0.6 * random.normal());
    const rated = [15, 25, 35][[0, 0, 0, 1, 2][random.integer(5)]!]!;
    ratedKv[s] = rated;
    const year = law.firstYear + random.uniform() * (law.lastYear - law.firstYear);
    energisedDay[s] = Math.round((year - 1970) * yearDays);
    limitNsPerKm[s] = law.limitNsPerKm;
    const drop = random.uniform() < regime.interventionShare;
    const dropTime = -1 - random.uniform() * 15;
    const line = growthDraw(random, regime, law);
    line.dropTime = drop ? dropTime : Number.NEGATIVE_INFINITY;
    line.drop = drop ? Math.exp(-0.15 + 0.4 * random.normal()) : 0;
    if (drop) {
      interventions.push({
        segment: s,
        day: asOfDay + Math.round(dropTime * yearDays),
        kind: [0, 1, 3][random.integer(3)]!,
      });
    }
    describe(truth, s, line, law.limitNsPerKm);
    const start = Math.max(-recordYears, (energisedDay[s]! - asOfDay) / yearDays);
    addTests(drafts, random, regime, s, line, family, rated, lengthKm[s]!, start);
  }
  return {
    columns: {
      segments: { count: n, lengthKm, ratedKv, insulation, energisedDay, limitNsPerKm },
      readings: pack(drafts),
      interventions: {
        count: interventions.length,
        segment: Int32Array.from(interventions, (i) => i.segment),
        day: Int32Array.from(interventions, (i) => i.day),
        kind: Uint8Array.from(interventions, (i) => i.kind),
      },
      asOfDay,
    },
    truth,
  };
}

function pickFamily(random: SeededRandom): number {
  const u = random.uniform();
  return u < 0.15 ? 0 : u < 0.27 ? 1 : u < 0.6 ? 2 : u < 0.85 ? 3 : 4;
}

function meanLevel(line: TrueLine, time: number): number {
  return (levelAt(line, 0, time) + levelAt(line, 1, time) + levelAt(line, 2, time)) / 3;
}

function describe(truth: FleetTruth, s: number, line: TrueLine, limit: number): void {
  const now = meanLevel(line, 0);
  truth.levelNsPerKm[s] = Math.exp(now);
  truth.growthPctPerYr[s] = 100 * Math.expm1((now - meanLevel(line, -0.01)) / 0.01);
  for (let t = 0; t <= 5; t += 0.25) if (meanLevel(line, t) > Math.log(limit)) truth.exceedsIn5y[s] = 1;
  truth.accelerating[s] = line.bend > 0 || line.phaseSlope > 0 ? 1 : 0;
}

function addTests(
  drafts: Draft[],
  random: SeededRandom,
  regime: Regime,
  s: number,
  line: TrueLine,
  family: number,
  rated: number,
  lengthKm: number,
  start: number,
): void {
  const law = familyLaws[family]!;
  const count = Math.max(
    1,
    Math.round(regime.eventsPerSegment + 1.2 * Math.sqrt(regime.eventsPerSegment) * 0.6 * random.normal()),
  );
  for (let e = 0; e < count; e++) {
    const time = start + random.uniform() * -start;
    const day = Math.min(asOfDay, asOfDay + Math.round(time * yearDays));
    const season = Math.cos((2 * Math.PI * (day - 200)) / yearDays);
    const temperature = 12 + 7 * season + 2.3 * random.normal();
    const ambient = 13 + 9 * season + 4 * random.normal();
    const usual = maintenanceKv(rated);
    const acceptance = time < start + 1 && random.uniform() < 0.3;
    const kv = acceptance ? 3 * usual : usual * [1, 1, 1, 0.9, 1.15, 0.75][random.integer(6)]!;
    const dwell = [15, 15, 5][random.integer(3)]!;
    const old = time < -12;
    const instrument = old ? 0 : 1 + random.integer(2);
    const floor = old ? regime.floorUa : regime.floorUa / 5;
    const heavy = regime.tails > 0 ? Math.sqrt(regime.tails / chiSquare(random, regime.tails)) : 1;
    const day0 =
      regime.dayError * heavy * random.normal() +
      temperatureLog(law, temperature, regime.temperatureScale) +
      conductionLog(kv / usual, regime.voltageScale) +
      dwellLog(dwell) +
      (instrument === 2 ? regime.instrumentStep : 0);
    const slip = random.uniform() < regime.eventSlipShare ? 1000 : 1;
    const readings: Draft['readings'] = [];
    for (let phase = 0; phase < 3; phase++) {
      if (random.uniform() < 0.05) continue;
      let log = levelAt(line, phase, time) + day0 + regime.phaseError * random.normal();
      if (random.uniform() < regime.strayShare) log += 2 * random.normal();
      const trueUa = Math.exp(log) * kv * lengthKm;
      const ua = Math.round(trueUa / floor) * floor;
      const below = trueUa < floor;
      const factor = random.uniform() < regime.phaseSlipShare ? 1000 : slip;
      readings.push({ phase, ua: (below ? floor : Math.max(floor, ua)) * (below ? 1 : factor), below });
    }
    if (readings.length === 0) continue;
    const draft: Draft = {
      segment: s,
      day,
      readings,
      kv,
      dwell,
      temperature: random.uniform() < regime.unknownTemperatureShare ? Number.NaN : temperature,
      ambient: random.uniform() < 0.1 ? Number.NaN : ambient,
      instrument,
      purpose: acceptance ? 0 : 1,
    };
    drafts.push(draft);
    if (random.uniform() < regime.duplicateShare) drafts.push({ ...draft, day: Math.min(asOfDay, day + 1) });
  }
}

function chiSquare(random: SeededRandom, freedom: number): number {
  let sum = 0;
  for (let i = 0; i < freedom; i++) sum += random.normal() ** 2;
  return sum;
}

function pack(drafts: Draft[]): FleetColumns['readings'] {
  drafts.sort((a, b) => a.segment - b.segment || a.day - b.day);
  let count = 0;
  for (const draft of drafts) count += draft.readings.length;
  const numbers = () => new Float64Array(count);
  const columns = {
    count,
    segment: new Int32Array(count),
    event: new Int32Array(count),
    day: new Int32Array(count),
    phase: new Uint8Array(count),
    voltageKv: numbers(),
    dwellMin: numbers(),
    leakageUa: numbers(),
    belowFloor: new Uint8Array(count),
    insulationTempC: numbers(),
    ambientTempC: numbers(),
    method: new Uint8Array(count),
    purpose: new Uint8Array(count),
    instrument: new Int32Array(count),
  };
  let r = 0;
  drafts.forEach((draft, event) => {
    for (const reading of draft.readings) {
      columns.segment[r] = draft.segment;
      columns.event[r] = event;
      columns.day[r] = draft.day;
      columns.phase[r] = reading.phase;
      columns.voltageKv[r] = draft.kv;
      columns.dwellMin[r] = draft.dwell;
      columns.leakageUa[r] = reading.ua;
      columns.belowFloor[r] = reading.below ? 1 : 0;
      columns.insulationTempC[r] = draft.temperature;
      columns.ambientTempC[r] = draft.ambient;
      columns.purpose[r] = draft.purpose;
      columns.instrument[r] = draft.instrument;
      r++;
    }
  });
  return columns;
}
