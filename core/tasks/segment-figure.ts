import type { SegmentPage, TestRow } from '../contract/asks/segment.ts';
import type { Figure } from '../contract/figure.ts';
import type { Phase } from '../contract/shapes/trade.ts';
import { levelPath } from '../forecast/crossing.ts';
import { dayOf, yearOf } from './days.ts';
import { pOnePhase, posteriorOf } from './posterior-of.ts';
import type { Standings } from './standings.ts';

/** What an intervention is called beside its line. */
const interventionWords: { readonly [kind: string]: string } = {
  section_replaced: 'section replaced',
  splice_added: 'splice added',
  splice_renewed: 'splice renewed',
  fluid_injected: 'fluid injected',
  termination_remade: 'termination remade',
};

const forecastYears = 10;

/** Specific leakage of each phase across the years, the fitted line of the present era, the forecast with its bands. */
export function segmentFigure(
  standings: Standings,
  i: number,
  tests: readonly TestRow[],
  interventions: SegmentPage['interventions'],
): Figure {
  const points = (['A', 'B', 'C'] as const).flatMap((phase) => phasePoints(phase, tests));
  const figure: Figure = {
    title: 'Specific leakage at 20 °C',
    xLabel: 'year',
    yLabel: 'nS/km',
    xKind: 'year',
    yScale: 'log',
    points,
    lines: [],
    bands: [],
    levels: [],
    marks: interventions.map((done) => ({
      name: interventionWords[done.kind] ?? done.kind,
      x: yearOf(dayOf(done.doneOn)),
    })),
  };
  const limit = standings.limit[i]!;
  if (!Number.isNaN(limit)) figure.levels.push({ name: 'limit', y: limit });
  if (standings.rank[i] === 0) return figure;
  const now = yearOf(dayOf(standings.asOf));
  const since = eraStart(standings, i, tests);
  const years: number[] = [];
  for (let year = Math.min(since, now); year < now; year += 0.5) years.push(year - now);
  const pastCount = years.length;
  for (let ahead = 0; ahead <= forecastYears; ahead += 0.5) years.push(ahead);
  const path = levelPath(posteriorOf(standings, i), years);
  figure.lines.push({
    name: 'fitted',
    at:
      standings.pAccelerating[i]! > 0.5 || pOnePhase(standings, i) > 0.5
        ? bentPast(tests, since, [now, path[pastCount]!.median])
        : path.slice(0, pastCount + 1).map((step) => [now + step.year, step.median]),
  });
  figure.lines.push({
    name: 'forecast',
    at: path.slice(pastCount).map((step) => [now + step.year, step.median]),
  });
  for (const [sharePct, lo, hi] of [
    [90, 'lo90', 'hi90'],
    [50, 'lo50', 'hi50'],
  ] as const)
    figure.bands.push({
      name: `${sharePct} % of the level to come`,
      sharePct,
      at: path.slice(pastCount).map((step) => [now + step.year, step[lo], step[hi]]),
    });
  return figure;
}

function phasePoints(phase: Phase, tests: readonly TestRow[]): Figure['points'] {
  const sets: { faint: boolean; at: [number, number][] }[] = [
    { faint: false, at: [] },
    { faint: true, at: [] },
  ];
  for (const test of tests)
    for (const reading of test.readings) {
      if (reading.phase !== phase || reading.nsPerKmAt20C === null) continue;
      const plain = reading.use === 'used';
      sets[plain ? 0 : 1]!.at.push([yearOf(dayOf(test.testedOn)), reading.nsPerKmAt20C]);
    }
  return sets
    .filter((set) => set.at.length > 0)
    .map((set) => ({
      name: set.faint ? `phase ${phase}, below the floor, repaired or down-weighted` : `phase ${phase}`,
      phase,
      faint: set.faint,
      at: set.at,
    }));
}

/** The past of a segment that accelerates, as a whole or by one phase, is no straight line: through its tests to where it stands now. */
function bentPast(tests: readonly TestRow[], since: number, now: [number, number]): [number, number][] {
  const at = tests.flatMap((test): [number, number][] => {
    const year = yearOf(dayOf(test.testedOn));
    return test.nsPerKmAt20C === null || year < since ? [] : [[year, test.nsPerKmAt20C]];
  });
  return [...at.reverse(), now];
}

/** Calendar year at which the present era's line begins: the intervention, or the first test. */
function eraStart(standings: Standings, i: number, tests: readonly TestRow[]): number {
  const era = standings.eraDay[i]!;
  const from = tests.map((test) => dayOf(test.testedOn)).filter((day) => Number.isNaN(era) || day >= era);
  const first = from.length > 0 ? Math.min(...from) : dayOf(standings.asOf);
  return yearOf(Number.isNaN(era) ? first : Math.max(era, first - 365));
}
