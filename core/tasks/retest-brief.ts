import type { ParsedInputOf } from '../contract/asks/index.ts';
import type { SegmentPage } from '../contract/asks/segment.ts';
import type { Brief } from '../contract/shapes/retest.ts';
import { briefPdf } from '../report/brief-pdf.ts';
import { excuses } from '../store/compliance.ts';
import { fleetName, ledgerHead, revisionOf } from '../store/ledger.ts';
import { areaLife, lastTestDay } from '../store/retest.ts';
import type { Fleet } from '../store/sql.ts';
import { sourceWords } from '../trade/source.ts';
import type { VoltageAdvice } from '../trade/voltage-advice.ts';
import { dayOf, yearsApart } from './days.ts';
import { type Desk, today } from './desk.ts';
import { frameOf } from './frame.ts';
import { placeFor, writeOut } from './out-file.ts';
import { retestRules } from './policies.ts';
import { nextDue } from './retest-due-day.ts';
import { checkForetold, expectations, type PlannedTest, subjectAt } from './retest-expect.ts';
import { segmentMeant } from './retest-find.ts';
import { foreseen } from './retest-foreseen.ts';
import { adviceFor, lastVoltage, plannedTest, purposeOf, rampSaid, type Typed } from './retest-plan-test.ts';
import {
  cautionsSaid,
  checklist,
  dischargeSaid,
  earthingSaid,
  energyAt,
  faultSaid,
  stopRules,
} from './retest-safety.ts';
import { briefTests } from './retest-tests.ts';
import { briefLines, briefSentence, conductorWords, expectedSays } from './retest-words.ts';
import { dueBecause, ruleName } from './rule-words.ts';
import { segmentPage } from './segment.ts';
import { standingsAsOf, standingsFor } from './standings.ts';
import type { Task } from './task.ts';
import { resultsOfOne } from './test-results.ts';

/** The brief of one segment for a day and what the lead typed. */
function briefOf(desk: Desk, segmentId: string, typed: Typed, day: string | undefined): Brief {
  const { fleet } = desk;
  const asOf = today(desk);
  const on = day ?? asOf;
  checkForetold(on, asOf);
  const page = segmentPage(desk, segmentId);
  const standings = standingsFor(desk, asOf);
  const i = frameOf(fleet).ordinalById.get(segmentId)!;
  const purpose = purposeOf(page, on);
  const advice = adviceFor(page, on, purpose);
  const planned = plannedTest(page, standings, advice, typed, on);
  const test: PlannedTest | { because: string } = planned.voltageKv.known
    ? {
        voltageKv: planned.voltageKv.value,
        dwellMin: planned.dwellMin.value,
        insulationTempC: planned.tempC.value,
        temperatureVariance: planned.tempSdC ** 2,
        day: dayOf(on),
      }
    : planned.voltageKv;
  const expected = expectations(standings, subjectAt(standings, i, page.lengthM), page.phases, test);
  const life = areaLife(fleet, segmentId)!;
  const standing: Brief['standing'] = page.standing.known
    ? {
        known: true,
        rank: page.standing.rank,
        rankedSegments: page.standing.rankedSegments,
        growthPctPerYr: page.standing.growthPctPerYr,
        levelNsPerKm: page.standing.levelNsPerKm,
        limitNsPerKm: page.standing.limitNsPerKm,
      }
    : page.standing;
  const limit = standings.limit[i]!;
  const brief = {
    segmentId: page.id,
    ownerId: page.ownerId,
    name: page.name,
    substation: page.substation.name,
    area: life.area,
    feeder: page.feeder.name,
    fromPoint: page.fromPoint,
    toPoint: page.toPoint,
    lengthM: page.lengthM,
    ratedKv: page.ratedKv,
    insulationLevelPct: page.insulationLevelPct,
    insulation: page.insulation,
    conductor: conductorWords(page),
    phases: page.phases,
    installation: page.installation,
    energisedOn: page.energisedOn,
    ageYears: page.energisedOn === null ? null : yearsApart(page.energisedOn, on),
    customers: page.customers,
    criticalLoad: page.criticalLoad,
    retiredOn: page.retiredOn,
    utility: fleetName(fleet)?.utility_name ?? '',
    revision: revisionOf(fleet),
    on,
    asOf,
    purpose,
    due: dueOf(fleet, segmentId, on),
    voltage: voltageSaid(advice),
    alternatives: advice.alternatives.map((one) => ({ ...one, source: sourceWords(one.source) })),
    planned,
    lastVoltageKv: lastVoltage(page)?.kv ?? null,
    ramp: rampSaid(planned, page.ratedKv, advice.dc === 'advised'),
    expected,
    expectedSays: expectedSays(planned, on, asOf),
    foreseen: foreseen(expected),
    standing,
    stop: stopRules(expected, Number.isNaN(limit) ? null : limit),
    energy: energyAt(page, planned),
    earthing: earthingSaid(planned),
    discharge: dischargeSaid(),
    checklist: checklist(fleet, page, on),
    cautions: [...faultSaid(page), ...cautionsSaid(advice)],
    footer: `Local codes and licensed practice decide. ${advice.footer}`,
    strip: page.strip,
    tests: briefTests(page),
    ...accessoriesOf(page),
  };
  return { ...brief, sentence: briefSentence(brief) };
}

const accessoriesOf = (page: SegmentPage): Pick<Brief, 'splices' | 'terminations' | 'interventions' | 'failures'> => ({
  splices: page.splices.map(({ removedOn, ...splice }) => ({ ...splice, removed: removedOn !== null })),
  terminations: page.terminations
    .filter((one) => one.removedOn === null)
    .map(({ end, phase, kind }) => ({ end, phase, kind })),
  interventions: page.interventions.map(({ doneOn, kind, note }) => ({ doneOn, kind, note })).reverse(),
  failures: page.failures.map(({ failedOn, phase, part, cause }) => ({ failedOn, phase, part, cause })).reverse(),
});

function voltageSaid(advice: VoltageAdvice): Brief['voltage'] {
  if (advice.dc === 'not advised') return { advised: false, because: advice.because };
  const { duration } = advice;
  return {
    advised: true,
    voltageKv: advice.voltageKv,
    table: advice.table,
    source: sourceWords(advice.source),
    duration: duration.known
      ? { known: true, minutes: duration.minutes, source: sourceWords(duration.source) }
      : duration,
    otherTables: advice.otherTables.map((one) => ({
      table: one.table,
      voltageKv: one.voltageKv,
      source: sourceWords(one.source),
    })),
  };
}

function dueOf(fleet: Fleet, segmentId: string, on: string): Brief['due'] {
  const life = areaLife(fleet, segmentId)!;
  const own = excuses(fleet).filter((row) => row.segmentId === segmentId);
  const { versions } = retestRules(fleet);
  const results = resultsOfOne(fleet, segmentId, versions, on);
  const next = nextDue(life, lastTestDay(fleet, segmentId, on), versions, own, on, results);
  if (next === null) return { known: false, because: 'the segment is out of service' };
  if (next === 'unknown') return { known: false, because: 'neither a test nor the first day in service is on record' };
  const { dueOn, state, version, due } = next;
  return { known: true, dueOn, state, rule: ruleName(version), because: dueBecause(due) };
}

export const briefTask: Task<'retest.brief'> = (desk, { segment, on, ...typed }) =>
  briefOf(desk, segmentMeant(desk.fleet, segment), typed, on);

type Paper = Pick<ParsedInputOf<'retest.sheet'>, 'paper' | 'units'>;

async function writeSheets(
  desk: Desk,
  briefs: readonly Brief[],
  { paper, units }: Paper,
  pdf: string,
): Promise<string[]> {
  const head = ledgerHead(desk.fleet);
  const bytes = await briefPdf(briefs, {
    paper: paper === 'A4' ? 'A4' : 'LETTER',
    units,
    createdAt: desk.now(),
    ledgerHead: head ? Buffer.from(head.hash).toString('hex') : null,
    ledgerSeq: head?.seq ?? null,
  });
  writeOut(desk.fleet, pdf, bytes);
  return [pdf];
}

export const sheetTask: Task<'retest.sheet'> = async (desk, { segment, on, paper, units, pdf, ...typed }) => {
  const brief = briefOf(desk, segmentMeant(desk.fleet, segment), typed, on);
  return { written: await writeSheets(desk, [brief], { paper, units }, pdf) };
};

/** For any number of segments, and for a fleet whose ranking is not made yet: fits it where it must. */
export const roundTask: Task<'retest.round'> = async (desk, input) => {
  if (input.pdf !== undefined) placeFor(desk, input.pdf);
  const ids = input.segments.map((segment) => segmentMeant(desk.fleet, segment));
  standingsAsOf(desk, today(desk));
  const typed = { voltageKv: input.voltage, dwellMin: input.dwell, tempC: input.temp };
  const briefs = ids.map((id) => briefOf(desk, id, typed, input.on));
  return {
    words: briefs.flatMap(briefLines),
    briefs,
    written: input.pdf === undefined ? [] : await writeSheets(desk, briefs, input, input.pdf),
  };
};
