import { type SeededRandom, seededRandom } from '../numerics/random.ts';
import { Condition } from './condition.ts';
import { FieldTests, uncalibratedSummer } from './field-tests.ts';
import { History } from './history.ts';
import { type DemoSegment, inventFeeders, inventSegment, substationCount, substationName } from './network.ts';
import { type DemoSink, dayOf, isoDay, numbered, yearOf } from './rows.ts';
import { families, type InstrumentKey, instruments, yearsBack } from './tables.ts';

export const utilityName = 'Harrow Vale Municipal Power';

export interface DemoOptions {
  /** About how many segments. */
  readonly segments: number;
  readonly seed: number;
  readonly lastTestYear: number;
  /** Called after each feeder with the segments made so far. */
  readonly made?: (segments: number) => void;
}

/**
 * Invents Harrow Vale Municipal Power: a valley town and its mill district, its cables, their tests over 18 years and
 * what happened to them. The same options give the same rows.
 */
export function inventUtility({ segments, seed, lastTestYear, made }: DemoOptions, sink: DemoSink): void {
  const random = seededRandom(seed);
  const feeders = inventFeeders(random, segments);
  for (let i = 0; i < substationCount(feeders); i++) {
    const { name, region } = substationName(i);
    sink.row('substations', { substation_id: numbered('U', i + 1, 3), name, region });
  }
  writeInstruments(sink, lastTestYear);
  for (const [insulation, { limitNsPerKm }] of Object.entries(families))
    sink.row('limits', { insulation, limit_ns_per_km: limitNsPerKm });
  const crew = new FieldTests(random, sink, lastTestYear);
  let number = 0;
  for (const feeder of feeders) {
    const kv = feeder.district.ratedKv;
    sink.row('feeders', {
      feeder_id: feeder.id,
      substation_id: numbered('U', feeder.substation + 1, 3),
      name: feeder.name,
      nominal_kv: kv === 15 ? 13.2 : 24.9,
      customers: feeder.customers,
      peak_load_kva: Math.round(feeder.customers * (3.2 + 1.5 * random.uniform())),
    });
    for (let place = 0; place < feeder.segments; place++) {
      const segment = inventSegment(random, feeder, place, ++number, lastTestYear);
      liveSegment(random, sink, crew, segment, lastTestYear);
    }
    made?.(number);
  }
}

function liveSegment(
  random: SeededRandom,
  sink: DemoSink,
  crew: FieldTests,
  segment: DemoSegment,
  lastYear: number,
): void {
  const condition = new Condition(random, segment, lastYear);
  const history = new History(random, condition, lastYear);
  history.live();
  writeSegment(random, sink, segment, history.retiredDay, null);
  const untilDay = history.retiredDay ?? dayOf(lastYear, 12, 31);
  for (const visit of crew.schedule(condition, history.retestDays, untilDay))
    if (crew.test(condition, visit)) {
      const day = history.mendedAfterTest(visit.day);
      if (day < untilDay) crew.test(condition, { day, purpose: 'after_repair' });
    }
  history.write(sink);
  if (history.retiredDay !== null) renew(random, sink, crew, segment, history.retiredDay, lastYear);
}

/** The segment's place is taken by a new one, tested when laid. */
function renew(
  random: SeededRandom,
  sink: DemoSink,
  crew: FieldTests,
  old: DemoSegment,
  day: number,
  lastYear: number,
): void {
  const segment: DemoSegment = {
    ...old,
    id: `${old.id}N`,
    name: `${old.name} new`,
    family: 'TR-XLPE',
    levelPct: 133,
    energisedDay: day + 1,
    badSplice: false,
  };
  const condition = new Condition(random, segment, lastYear);
  writeSegment(random, sink, segment, null, old.id);
  for (const visit of crew.schedule(condition, [], dayOf(lastYear, 12, 31))) crew.test(condition, visit);
}

function writeSegment(
  random: SeededRandom,
  sink: DemoSink,
  segment: DemoSegment,
  retiredDay: number | null,
  replaces: string | null,
): void {
  const { family, feeder } = segment;
  const old = yearOf(segment.energisedDay) < 1985;
  // Drawings of the mill district are in feet, as they always were.
  const inFeet = feeder.district.name === 'mill district';
  const big = random.uniform() < 0.35;
  sink.row('segments', {
    segment_id: segment.id,
    feeder_id: feeder.id,
    name: segment.name,
    from_point: segment.fromPoint,
    to_point: segment.toPoint,
    length: inFeet ? Math.round(segment.lengthM / 0.3048) : segment.lengthM,
    length_unit: inFeet ? 'ft' : 'm',
    rated_kv: segment.ratedKv,
    insulation_level_pct: segment.levelPct,
    insulation: family,
    conductor_material: old || big ? 'Cu' : 'Al',
    conductor_area_mm2: big ? 253 : 107,
    conductor_diameter_mm: big ? 18.7 : 12.1,
    insulation_thickness_mm: families[family].thicknessMm[segment.ratedKv],
    phases: segment.phases,
    installation: old && random.uniform() < 0.6 ? 'direct_buried' : 'duct',
    energised_on: isoDay(segment.energisedDay),
    retired_on: retiredDay === null ? null : isoDay(retiredDay),
    replaces_segment_id: replaces,
    customers: segment.customers,
    alternate_supply: random.uniform() < 0.6 ? 1 : 0,
    critical_load: segment.critical ? 1 : 0,
  });
  for (const end of ['from', 'to'] as const)
    sink.row('terminations', {
      termination_id: `E${segment.id.slice(1)}-${end}`,
      segment_id: segment.id,
      end,
      phase: segment.phases,
      kind: family === 'PILC' ? 'porcelain pothead' : random.uniform() < 0.5 ? 'elbow' : 'cold shrink',
      installed_on: isoDay(segment.energisedDay),
    });
}

function writeInstruments(sink: DemoSink, lastYear: number): void {
  const replaced = lastYear - yearsBack.testerReplaced;
  const { dueDay, doneDay } = uncalibratedSummer(lastYear);
  for (const [key, { serial, description, yearly }] of Object.entries(instruments)) {
    sink.row('instruments', { instrument_id: key, serial, description });
    const [month, day] = yearly.split('-').map(Number) as [number, number];
    const from = (key as InstrumentKey) === 'HV-3' ? replaced : lastYear - yearsBack.firstTest - 1;
    // The testers in use are calibrated in the year after the last tests too, as a crew about to go out would have it.
    const to = (key as InstrumentKey) === 'HV-1' ? replaced - 1 : lastYear + 1;
    for (let year = from; year <= to; year++) {
      const due = dayOf(year, month, day);
      const late = (key as InstrumentKey) === 'HV-2' && due === dueDay;
      sink.row('calibrations', {
        calibration_id: `K-${key}-${year}`,
        instrument_id: key,
        calibrated_on: isoDay(late ? doneDay : due),
        due_on: isoDay(dayOf(year + 1, month, day)),
        certificate: `HVC-${year}-${key.slice(3)}`,
      });
    }
  }
}
