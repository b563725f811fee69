import type { OutputOf } from '../contract/asks/index.ts';
import type { segmentAsks, TestRow } from '../contract/asks/segment.ts';
import type { FeederId, InstrumentId, SegmentId, SubstationId, TestEventId } from '../contract/ids.ts';
import { refuse } from '../contract/problem.ts';
import type { Standing } from '../contract/shapes/standing.ts';
import type { Insulation, Phase } from '../contract/shapes/trade.ts';
import { forecastCaution } from '../forecast/failure/caution.ts';
import { insulationFamilies, interventionKinds } from '../growth/columns.ts';
import { flag, leftOutReasons, readingFlags, reason } from '../growth/normalise.ts';
import { recordById } from '../store/records.ts';
import {
  calibrationsOf,
  eventsOfSegment,
  failuresOf,
  instrumentNames,
  interventionsOf,
  readingsOfSegment,
  replacementOf,
  type SegmentRow,
  segmentRow,
  splicesOf,
  terminationsOf,
} from '../store/segment.ts';
import type { Fleet } from '../store/sql.ts';
import { sourceWords } from '../trade/source.ts';
import { testVoltageAdvice } from '../trade/voltage-advice.ts';
import { crossingOf } from './crossing-words.ts';
import { dayOf, isoOf } from './days.ts';
import { type Desk, today } from './desk.ts';
import { frameOf } from './frame.ts';
import { highPhase } from './high-phase.ts';
import { pOnePhase } from './posterior-of.ts';
import { replacedTests } from './replaced-tests.ts';
import { segmentEditTasks } from './segment-edit.ts';
import { segmentFigure } from './segment-figure.ts';
import { segmentTable } from './segment-table.ts';
import type { Standings } from './standings.ts';
import { shownStandings } from './standings-before.ts';
import { segmentStrip } from './strips.ts';
import type { TasksOf } from './task.ts';
import { testSays } from './test-says.ts';
import { unrankedBecause } from './unranked.ts';
import { verdictsOn } from './verdicts-on.ts';

const orNull = (x: number): number | null => (Number.isNaN(x) ? null : x);
const phases: readonly Phase[] = ['A', 'B', 'C'];

/** Readings under the floor, mended or counted less are in the fit, and an earlier step stands behind the last of its test. */
const isLeftOut = (use: number, because: number): boolean =>
  (use === flag.leftOut || use === flag.duplicate) && because !== reason.superseded;

function standingOf(desk: Desk, standings: Standings, i: number): Standing {
  if (standings.rank[i] === 0) return { known: false, because: unrankedBecause(standings, i) };
  const ranked = standings.order.length;
  const eraDay = standings.eraDay[i]!;
  const limit = standings.limit[i]!;
  const cohort = standings.cohorts[standings.cohort[i]!]!;
  const phase = standings.worstPhase[i]!;
  let leftOut = 0;
  for (let r = standings.firstReading[i]!; r < standings.firstReading[i + 1]!; r++)
    if (isLeftOut(standings.readingFlag[r]!, standings.readingReason[r]!)) leftOut++;
  return {
    known: true,
    rank: standings.rank[i]!,
    rankedSegments: ranked,
    growthPctPerYr: { value: standings.growth[i]!, lo: standings.growthLo[i]!, hi: standings.growthHi[i]! },
    pGrowing: standings.pGrowing[i]!,
    levelNsPerKm: { value: standings.level[i]!, lo: standings.levelLo[i]!, hi: standings.levelHi[i]! },
    limitNsPerKm: orNull(limit),
    limitSource: limitSource(standings, i),
    crossing: crossingOf(standings, i),
    pExceed: {
      y1: standings.pExceed1[i]!,
      y2: standings.pExceed2[i]!,
      y5: standings.pExceed5[i]!,
      y10: standings.pExceed10[i]!,
    },
    tests: standings.tests[i]!,
    fasterThanPct: ranked > 1 ? (100 * (ranked - standings.rank[i]!)) / (ranked - 1) : 0,
    ownSharePct: 100 * standings.ownShare[i]!,
    pAccelerating: standings.pAccelerating[i]!,
    pOnePhase: pOnePhase(standings, i),
    // Only a phase that ages faster than the segment as a whole is worth naming.
    worstPhase:
      phase >= 0 && standings.tests[i]! > 1 && standings.worstPhaseGrowth[i]! > standings.growth[i]!
        ? { phase: phases[phase]!, growthPctPerYr: standings.worstPhaseGrowth[i]! }
        : null,
    highPhase: highPhase(desk.fleet, frameOf(desk.fleet), standings, i),
    censoredTests: standings.censoredTests[i]!,
    leftOutReadings: leftOut,
    eraSince: Number.isNaN(eraDay) ? null : isoOf(eraDay),
    eraBecause: Number.isNaN(eraDay) ? null : interventionKinds[standings.eraKind[i]!]!,
    cohort: cohort.name,
    cohortGrowthPctPerYr: cohort.growthPctPerYr,
    theilSenPctPerYr: orNull(standings.theilSen[i]!),
    mannKendallP: orNull(standings.mannKendallP[i]!),
  };
}

function limitSource(standings: Standings, i: number): string {
  const insulation = insulationFamilies[standings.insulation[i]!]!;
  const owner = standings.ownerLimits.find(([family]) => family === insulation);
  return owner ? owner[1] : 'our default; no published limit exists, set your own';
}

function calibrationOn(fleet: Fleet, instrumentId: string | null, on: string): TestRow['calibration'] {
  if (instrumentId === null) return 'unknown';
  const spans = calibrationsOf(fleet, instrumentId).filter((span) => span.calibratedOn <= on);
  const last = spans.at(-1);
  if (!last) return 'unknown';
  const due = last.dueOn ?? isoOf(dayOf(last.calibratedOn) + 365);
  return on <= due ? 'in calibration' : 'out of calibration';
}

/** Tests of the segment, newest first, each reading with what the model made of it. */
function testsOf(desk: Desk, segmentId: string, standings: Standings, i: number): TestRow[] {
  const { fleet } = desk;
  const asOf = standings.asOf;
  const events = eventsOfSegment(fleet, segmentId, asOf);
  const readings = readingsOfSegment(fleet, segmentId, asOf);
  const names = instrumentNames(fleet);
  const rows: TestRow[] = [];
  let at = 0;
  for (const event of events) {
    const from = at;
    while (at < readings.length && readings[at]!.test_event_id === event.id) at++;
    const own = readings.slice(from, at);
    const base = standings.firstReading[i]! + from;
    const instrument = own.find((reading) => reading.instrument_id !== null)?.instrument_id ?? null;
    let sum = 0;
    let used = 0;
    let surprise = Number.NaN;
    const shown = own.map((reading, k): TestRow['readings'][number] => {
      const r = base + k;
      const adjusted = standings.readingAdjusted[r]!;
      if (!Number.isNaN(adjusted)) {
        sum += Math.log(adjusted);
        used++;
        surprise = standings.readingSurprise[r]!;
      }
      const factor = standings.readingFactor[r]!;
      const use = readingFlags[standings.readingFlag[r]!]!;
      return {
        phase: reading.phase as Phase,
        step: reading.step,
        voltageKv: reading.voltage_kv,
        dwellMin: reading.dwell_min,
        leakageUa: reading.leakage_ua,
        belowFloor: reading.below_floor === 1,
        insulationTempC: reading.insulation_temp_c,
        ambientTempC: reading.ambient_temp_c,
        humidityPct: reading.humidity_pct,
        outcome: reading.outcome as TestRow['readings'][number]['outcome'],
        note: reading.note,
        nsPerKmAt20C: orNull(adjusted),
        use: use === 'repaired' ? `repaired ×${timesWords(factor)}` : use,
        useBecause: leftOutReasons[standings.readingReason[r]!] || null,
      };
    });
    const row: Omit<TestRow, 'says'> = {
      id: event.id as TestEventId,
      ownerId: event.owner_id,
      testedOn: event.tested_on,
      method: event.method as TestRow['method'],
      purpose: event.purpose as TestRow['purpose'],
      instrument: instrument ? { id: instrument as InstrumentId, name: names.get(instrument) ?? '' } : null,
      calibration: calibrationOn(fleet, instrument, event.tested_on),
      crew: own.find((reading) => reading.crew !== null)?.crew ?? null,
      readings: shown,
      nsPerKmAt20C: used > 0 ? Math.exp(sum / used) : null,
      surpriseSd: orNull(surprise),
      hasTrace: event.traces > 0,
    };
    rows.push({ ...row, says: testSays(row, rows.findLast((before) => before.nsPerKmAt20C !== null) ?? null) });
  }
  return rows.reverse();
}

/** 1,000 · 0.001 · 0.83. */
const timesWords = (factor: number): string =>
  factor >= 1000 ? Math.round(factor).toLocaleString('en-GB') : String(Number(factor.toPrecision(2)));

const sentence = (text: string) => `${text[0]!.toUpperCase()}${text.slice(1)}.`;

function cautionFor(row: SegmentRow, ageYears: number | null): string | null {
  const advice = testVoltageAdvice({
    ratedKv: row.rated_kv,
    insulationLevelPct: row.insulation_level_pct,
    insulation: row.insulation as Insulation,
    ageYears,
    purpose: 'maintenance',
  });
  const caution = advice.cautions.find((one) => one.source.document.startsWith('IEEE 400')) ?? advice.cautions[0];
  const words = caution ? `${caution.says} (${sourceWords(caution.source)})` : null;
  if (advice.dc === 'advised') return words;
  return words === null ? advice.because : `${sentence(advice.because)} ${words}`;
}

/** Everything known of one segment, as of today. */
export function segmentPage(desk: Desk, segmentId: string): OutputOf<'segment.page'> {
  const { fleet } = desk;
  const row = segmentRow(fleet, segmentId);
  if (!row) throw refuse('not-found', 'There is no such segment in this fleet.');
  const asOf = today(desk);
  const standings = shownStandings(desk, asOf, segmentId);
  const i = frameOf(fleet).ordinalById.get(segmentId)!;
  const replaced = row.replaces_id === null ? undefined : recordById(fleet, 'segment', row.replaces_id);
  const replacement = replacementOf(fleet, segmentId);
  const tests = testsOf(desk, segmentId, standings, i);
  const done = interventionsOf(fleet, segmentId).map((row) => ({
    ownerId: row.owner_id,
    doneOn: row.done_on,
    kind: row.kind,
    note: row.note,
  }));
  const ageYears = row.energised_on ? (dayOf(asOf) - dayOf(row.energised_on)) / 365.25 : null;
  return {
    id: segmentId as SegmentId,
    ownerId: row.owner_id,
    name: row.name,
    substation: { id: row.substation_id as SubstationId, name: row.substation_name },
    feeder: { id: row.feeder_id as FeederId, name: row.feeder_name },
    fromPoint: row.from_point,
    toPoint: row.to_point,
    lengthM: row.length_m,
    lengthTyped: `${row.length_typed} ${row.length_typed_unit}`,
    ratedKv: row.rated_kv,
    insulationLevelPct: row.insulation_level_pct,
    insulation: row.insulation as Insulation,
    conductorMaterial: row.conductor_material,
    conductorAreaMm2: row.conductor_area_mm2,
    conductorDiameterMm: row.conductor_diameter_mm,
    insulationThicknessMm: row.insulation_thickness_mm,
    phases: row.phases,
    installation: row.installation,
    energisedOn: row.energised_on,
    ageYears,
    retiredOn: row.retired_on,
    customers: row.customers,
    alternateSupply: row.alternate_supply === null ? null : row.alternate_supply === 1,
    criticalLoad: row.critical_load === null ? null : row.critical_load === 1,
    replaces: replaced ? { id: replaced.id as SegmentId, name: replaced.name } : null,
    replacedBy: replacement ? { id: replacement.id as SegmentId, name: replacement.name } : null,
    standing: standingOf(desk, standings, i),
    strip: segmentStrip(standings, i, 'page'),
    figure: segmentFigure(standings, i, tests, done),
    tests,
    replacedTests: replacedTests(fleet, segmentId),
    verdicts: verdictsOn(fleet, segmentId, tests),
    splices: splicesOf(fleet, segmentId).map((splice) => ({
      ownerId: splice.owner_id,
      phase: splice.phase,
      positionM: splice.position_m,
      kind: splice.kind,
      installedOn: splice.installed_on,
      removedOn: splice.removed_on,
    })),
    terminations: terminationsOf(fleet, segmentId).map((termination) => ({
      ownerId: termination.owner_id,
      end: termination.segment_end as 'from' | 'to',
      phase: termination.phase,
      kind: termination.kind,
      installedOn: termination.installed_on,
      removedOn: termination.removed_on,
    })),
    interventions: done,
    failures: failuresOf(fleet, segmentId).map((failure) => ({
      ownerId: failure.owner_id,
      failedOn: failure.failed_on,
      phase: failure.phase,
      part: failure.part,
      cause: failure.cause,
      customersInterrupted: failure.customers_interrupted,
      durationMin: failure.duration_min,
    })),
    directVoltageCaution: cautionFor(row, ageYears),
    forecastCaution,
  };
}

export const segmentTasks: TasksOf<keyof typeof segmentAsks> = {
  'segment.page': (desk, { segmentId }) => segmentPage(desk, segmentId),
  'segment.table': segmentTable,
  ...segmentEditTasks,
};
