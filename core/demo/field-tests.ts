import type { SeededRandom } from '../numerics/random.ts';
import type { Condition } from './condition.ts';
import {
  calendarYear,
  type DemoRow,
  type DemoSink,
  dayOf,
  dayOfYear,
  isoDay,
  numbered,
  rounded,
  yearOf,
} from './rows.ts';
import { climate, crews, families, field, type InstrumentKey, instruments, testKv, yearsBack } from './tables.ts';

export interface Visit {
  readonly day: number;
  readonly purpose: 'acceptance' | 'maintenance' | 'after_repair';
}

/** The crews' work: what they would have written down on a day, with all that goes wrong in the field. */
export class FieldTests {
  readonly #random: SeededRandom;
  readonly #sink: DemoSink;
  readonly #lastYear: number;
  #tests = 0;

  constructor(random: SeededRandom, sink: DemoSink, lastYear: number) {
    this.#random = random;
    this.#sink = sink;
    this.#lastYear = lastYear;
  }

  /** Days on which a segment was due and tested, early to late: acceptance, then every four years or so. */
  schedule(condition: Condition, retestDays: readonly number[], untilDay: number): Visit[] {
    const { segment } = condition;
    const random = this.#random;
    const firstDay = dayOf(this.#lastYear - yearsBack.firstTest, 1, 1);
    const visits: Visit[] = [];
    const everyYears = segment.critical ? 3 : 4.7;
    const accepted = segment.energisedDay >= firstDay;
    if (accepted) visits.push({ day: segment.energisedDay - 3, purpose: 'acceptance' });
    let day = (accepted ? segment.energisedDay : firstDay) + 365 * everyYears * (accepted ? 0.9 : random.uniform());
    while (day < untilDay) {
      visits.push({ day: this.#workingSeason(Math.floor(day)), purpose: 'maintenance' });
      day += 365 * everyYears * Math.exp(0.18 * random.normal());
    }
    for (const retest of retestDays)
      if (retest >= firstDay && random.uniform() < 0.8) visits.push({ day: retest, purpose: 'after_repair' });
    return visits.filter((visit) => visit.day < untilDay).sort((a, b) => a.day - b.day);
  }

  /** In the year of the cold spring the crews caught up: half of that year's tests fell into it. */
  #workingSeason(day: number): number {
    const year = this.#lastYear - yearsBack.coldSpring;
    const draw = this.#random.uniform();
    if (calendarYear(day) !== year || draw > 0.5) return day;
    return dayOf(year, 3, 1) + Math.floor(draw * 2 * 75);
  }

  /** Tests all phases on a day; true where one broke down. */
  test(condition: Condition, { day, purpose }: Visit): boolean {
    const random = this.#random;
    const { segment } = condition;
    const year = yearOf(day);
    const crew = (segment.feeder.substation + (random.uniform() < 0.15 ? 1 : 0)) % 2;
    const tester = this.#testerOf(crew, day);
    const { insulationC, airC } = this.#temperatures(day);
    const method = this.#methodOf(purpose);
    const fullKv = testKv[segment.ratedKv][segment.levelPct][purpose === 'acceptance' ? 'acceptance' : 'maintenance'];
    const dwellMin = purpose === 'acceptance' || random.uniform() < 0.82 ? 15 : crew === 1 ? 5 : 10;
    const shared =
      field.eventSd * random.normal() + families[segment.family].lnPerC * (insulationC - 20) + tester.gainLn;
    const slip = random.uniform() < field.unitSlip;
    const over = condition.overLimit(year);
    const breaks = purpose === 'maintenance' && over > 2 && random.uniform() < 0.06 * over;
    const brokenPhase = random.integer(segment.phases.length);
    const common = {
      test_id: numbered('T', ++this.#tests, 7),
      segment_id: segment.id,
      tested_on: isoDay(day),
      method,
      purpose,
      insulation_temp_c:
        random.uniform() < field.insulationTempMissing ? null : rounded(insulationC + 0.4 * random.normal(), 1),
      ambient_temp_c: random.uniform() < field.ambientTempMissing ? null : rounded(airC, 0),
      humidity_pct: Math.min(100, Math.max(25, rounded(68 + 14 * random.normal(), 0))),
      instrument_id: tester.key,
      crew: crews[crew]!,
    };
    const rows: DemoRow[] = [];
    [...segment.phases].forEach((phase, at) => {
      const broken = breaks && at === brokenPhase;
      for (const kv of voltagesOf(method, fullKv)) {
        const ln = condition.lnLevel('ABC'.indexOf(phase), year) + shared + field.readingSd * random.normal();
        const dwell = method === 'dc_step' && kv !== fullKv ? 1 : dwellMin;
        const ua = leakageUa(ln, kv, fullKv, segment.lengthM, dwell);
        rows.push({ ...common, phase, ...this.#written(broken ? ua * 6 : ua, kv, dwell, broken, tester, slip) });
        if (broken) break;
      }
    });
    this.#sink.test(rows);
    return breaks;
  }

  #written(
    ua: number,
    kv: number,
    dwell: number,
    broken: boolean,
    tester: { key: InstrumentKey },
    slip: boolean,
  ): DemoRow {
    const { floorUa, stepUa } = instruments[tester.key];
    const below = ua < floorUa;
    const shownUa = below ? floorUa : Math.max(floorUa, rounded(Math.round(ua / stepUa) * stepUa, 2));
    const inNa = tester.key === 'HV-3' && shownUa < 1;
    // A slip writes the meter's figure down with the unit of the next range.
    return {
      voltage_kv: broken ? rounded(kv * 0.9, 1) : kv,
      dwell_min: broken ? Math.max(0.5, rounded(dwell * this.#random.uniform(), 1)) : dwell,
      leakage: inNa ? Math.round(shownUa * 1000) : shownUa,
      leakage_unit: slip ? (inNa ? 'uA' : 'mA') : inNa ? 'nA' : 'uA',
      below_floor: below ? 1 : 0,
      outcome: broken ? 'breakdown' : 'withstood',
      note: broken ? 'tripped on overcurrent' : null,
    };
  }

  #testerOf(crew: number, day: number): { key: InstrumentKey; gainLn: number } {
    const replacedDay = dayOf(this.#lastYear - yearsBack.testerReplaced, 3, 2);
    if (crew === 0) return { key: day < replacedDay ? 'HV-1' : 'HV-3', gainLn: 0 };
    return { key: 'HV-2', gainLn: isUncalibrated(day, this.#lastYear) ? Math.log(field.uncalibratedGain) : 0 };
  }

  #methodOf(purpose: Visit['purpose']): string {
    const draw = this.#random.uniform();
    if (purpose !== 'maintenance') return 'dc_withstand';
    return draw < 0.02 ? 'dc_step' : draw < 0.04 ? 'insulation_resistance' : 'dc_withstand';
  }

  #temperatures(day: number): { insulationC: number; airC: number } {
    const season = ({ mean, swing, springDay, sd }: (typeof climate)[keyof typeof climate]) =>
      mean + swing * Math.sin((2 * Math.PI * (dayOfYear(day) - springDay)) / 365.25) + sd * this.#random.normal();
    const spring = dayOf(this.#lastYear - yearsBack.coldSpring, 3, 1);
    const cold = day >= spring && day < spring + 76 ? field.coldSpringC : 0;
    return { insulationC: season(climate.ground) + cold * 0.8, airC: season(climate.air) + cold };
  }
}

/** The summer in which the vale crew's tester was overdue for calibration, and read high. */
export function uncalibratedSummer(lastYear: number): { dueDay: number; doneDay: number } {
  const year = lastYear - yearsBack.uncalibratedSummer;
  return { dueDay: dayOf(year, 5, 20), doneDay: dayOf(year, 9, 16) };
}

function isUncalibrated(day: number, lastYear: number): boolean {
  const { dueDay, doneDay } = uncalibratedSummer(lastYear);
  return day >= dueDay && day < doneDay;
}

function voltagesOf(method: string, fullKv: number): number[] {
  if (method === 'insulation_resistance') return [5];
  if (method === 'dc_withstand') return [fullKv];
  return [1, 2, 3, 4, 5].map((step) => rounded((fullKv * step) / 5, 1));
}

/** µA = nS/km · kV · km ÷ 1 (nS times kV is µA), moved by dwell and voltage. */
function leakageUa(lnNsPerKm: number, kv: number, fullKv: number, lengthM: number, dwellMin: number): number {
  const { a, n } = field.absorption;
  const absorption = (1 + a * dwellMin ** -n) / (1 + a * 15 ** -n);
  return Math.exp(lnNsPerKm) * kv * (lengthM / 1000) * absorption * (kv / fullKv) ** field.voltagePower;
}
