import {
  type KnownBefore,
  limitBy,
  type Results,
  type RuleVersion,
  type TestResult,
  tellsOf,
} from '../evidence/due.ts';
import { type FoundReading, type LevelPoint, ownGrowthLow, testFound } from '../growth/testFound.ts';
import { interventionsUpTo, leakageLimits, modelSegments } from '../store/columns.ts';
import { interventionsOf, segmentRow } from '../store/segment.ts';
import { type SegmentBefore, segmentBefore, segmentsBefore } from '../store/segment-before.ts';
import type { Fleet } from '../store/sql.ts';
import {
  type ResultRow,
  resultsOfSegment,
  resultsSinceLast,
  resultsUpTo,
  risingTraces,
  risingTracesOf,
} from '../store/test-results.ts';
import type { InsulationFamily } from '../trade/insulation.ts';
import { defaultLimit } from '../trade/limits.ts';
import { yearsApart } from './days.ts';
import type { Desk } from './desk.ts';

/** What the cable is, as far as the result of a test depends on it. */
interface Cable {
  readonly insulation: string;
  readonly lengthM: number;
  readonly conductorDiameterMm: number | null;
  readonly insulationThicknessMm: number | null;
}

const noneFound: readonly TestResult[] = [];

/** Whether any rule asks what the last test found; where none does, no reading need be looked at. */
const asksForResults = (rules: readonly RuleVersion[]): boolean =>
  rules.some(({ rule }) => rule.cases.some(({ when }) => when.last !== undefined));

const asksForGrowth = (rules: readonly RuleVersion[]): boolean =>
  rules.some(({ rule }) => rule.cases.some(({ when }) => when.last?.growthOverPctPerYr !== undefined));

/**
 * What the tests of every segment found that some version of the rule asks for, up to a day. Told from each test's own
 * record, never from the fit of the fleet: the register must come to the same due day whenever it is asked. Only the last
 * test and what was broken off since is read where no more is asked for and no growth needs the years before.
 */
export function resultsOfAll(
  desk: Desk,
  rules: readonly RuleVersion[],
  upTo: string,
  which: 'the last' | 'every' = 'every',
): (segmentId: string) => Results {
  const { fleet } = desk;
  const found = new Map<string, TestResult[]>();
  const limitsOf = limitsOfCables(fleet);
  const edited = Map.groupBy(segmentsBefore(fleet), (row) => row.segmentId);
  const before = new Map<string, KnownBefore[]>();
  const cables = new Map(modelSegments(fleet).map((segment) => [segment.id, segment]));
  if (asksForResults(rules)) {
    const rising = risingTraces(fleet);
    const worked = Map.groupBy(interventionsUpTo(fleet, upTo), (row) => row.segmentId);
    let seen = 0;
    const few = which === 'the last' && !asksForGrowth(rules);
    for (const rows of runsOf(few ? resultsSinceLast(fleet, upTo) : resultsUpTo(fleet, upTo))) {
      if ((++seen & 0x3fff) === 0) {
        desk.checkStop();
        desk.progress(seen, cables.size, 'reading what the tests found');
      }
      const id = rows[0]![0];
      const cable = cables.get(id)!;
      const days = (worked.get(id) ?? []).map((row) => row.doneOn);
      const tell = (as: Cable) => tellingOf(rows, as, days, rising, rules, limitsOf(as));
      const telling = tell(cable);
      if (telling.length > 0) found.set(id, telling);
      const was = edited.get(id);
      if (was) before.set(id, knownBefore(was, limitsOf, tell));
    }
  }
  for (const [id, was] of edited)
    if (!before.has(id))
      before.set(
        id,
        knownBefore(was, limitsOf, () => noneFound),
      );
  return (segmentId) => ({
    ...limitsOf(cables.get(segmentId)!),
    found: found.get(segmentId) ?? noneFound,
    before: before.get(segmentId),
  });
}

/** The same of one segment. */
export function resultsOfOne(fleet: Fleet, segmentId: string, rules: readonly RuleVersion[], upTo: string): Results {
  const row = segmentRow(fleet, segmentId)!;
  const cable = {
    insulation: row.insulation,
    lengthM: row.length_m,
    conductorDiameterMm: row.conductor_diameter_mm,
    insulationThicknessMm: row.insulation_thickness_mm,
  };
  const limitsOf = limitsOfCables(fleet);
  const asked = asksForResults(rules);
  const days = interventionsOf(fleet, segmentId).map((done) => done.done_on);
  const rows = asked ? resultsOfSegment(fleet, segmentId, upTo) : [];
  const rising = asked ? risingTracesOf(fleet, segmentId) : new Set<string>();
  const tell = (as: Cable) => tellingOf(rows, as, days, rising, rules, limitsOf(as));
  const was = segmentBefore(fleet, segmentId);
  const before = was.length === 0 ? undefined : knownBefore(was, limitsOf, tell);
  return { ...limitsOf(cable), found: tell(cable), before };
}

type Limits = Pick<Results, 'limitNsPerKm' | 'ourLimitNsPerKm'>;

const yesNo = (value: number | null) => (value === null ? null : value === 1);

/** Earlier versions of a segment with what its tests found by them. */
const knownBefore = (
  was: readonly SegmentBefore[],
  limitsOf: (cable: Cable) => Limits,
  tell: (cable: Cable) => readonly TestResult[],
): KnownBefore[] =>
  was.map((row) => {
    const { from, until, insulation } = row;
    const cable = {
      insulation,
      lengthM: row.length_m,
      conductorDiameterMm: row.conductor_diameter_mm,
      insulationThicknessMm: row.insulation_thickness_mm,
    };
    const segment = {
      insulation,
      ratedKv: row.rated_kv,
      criticalLoad: yesNo(row.critical_load),
      alternateSupply: yesNo(row.alternate_supply),
    };
    return { from, until, segment, results: { ...limitsOf(cable), found: tell(cable) } };
  });

/** The limits that can hold for a cable: the owner's of today and our default for its dimensions. */
function limitsOfCables(fleet: Fleet): (cable: Cable) => Limits {
  const owners = new Map(leakageLimits(fleet).map((row) => [row.insulation, row.limitNsPerKm]));
  return (cable) => {
    const ours = defaultLimit({ ...cable, insulation: cable.insulation as InsulationFamily });
    const ourLimitNsPerKm = ours.known ? ours.value.nsPerKm : null;
    return { limitNsPerKm: owners.get(cable.insulation) ?? ourLimitNsPerKm, ourLimitNsPerKm };
  };
}

/** Rows that follow one another with the same segment, or the same event. */
function* runsOf(rows: Iterable<ResultRow>, column: 0 | 1 = 0): Generator<ResultRow[]> {
  let run: ResultRow[] = [];
  for (const row of rows) {
    if (run.length > 0 && run[0]![column] !== row[column]) {
      yield run;
      run = [];
    }
    run.push(row);
  }
  if (run.length > 0) yield run;
}

const readingOf = (row: ResultRow): FoundReading => ({
  phase: row[4],
  step: row[5],
  voltageKv: row[6],
  dwellMin: row[7],
  leakageUa: row[8],
  belowFloor: row[9] === 1,
  insulationTempC: row[10],
  outcome: row[11],
});

/** The results of one segment's tests that some version asks for. */
function tellingOf(
  rows: readonly ResultRow[],
  cable: Cable,
  workedOn: readonly string[],
  rising: ReadonlySet<string>,
  rules: readonly RuleVersion[],
  limits: Limits,
): TestResult[] {
  const telling: TestResult[] = [];
  const asked = rules.flatMap(({ rule }) =>
    rule.cases.flatMap(({ when: { last } }) =>
      last === undefined ? [] : [{ last, limit: limitBy(rule, cable.insulation, limits) }],
    ),
  );
  const asksGrowth = asksForGrowth(rules);
  const points: (LevelPoint & { readonly era: number })[] = [];
  for (const event of runsOf(rows, 1)) {
    const [, id, on, method] = event[0]!;
    const found = testFound(event.map(readingOf), method, cable.insulation as InsulationFamily, cable.lengthM / 1000);
    const { levelNsPerKm, voltageKv } = found;
    const era = workedOn.filter((day) => day <= on).length;
    let growthLowPctPerYr: number | null = null;
    if (asksGrowth && levelNsPerKm !== null && found.counts) {
      points.push({ years: yearsApart('2000-01-01', on), levelNsPerKm, voltageKv, era });
      growthLowPctPerYr = ownGrowthLow(points.filter((point) => point.era === era));
    }
    const result = { ...found, on, rising: found.rising || rising.has(id), growthLowPctPerYr };
    if (asked.some(({ last, limit }) => tellsOf(last, result, limit).length > 0)) telling.push(result);
  }
  return telling;
}
