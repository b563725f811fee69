import type { OutputOf, ParsedInputOf } from '../contract/asks/index.ts';
import type { Backtest } from '../contract/asks/method.ts';
import { refuse } from '../contract/problem.ts';
import { crossings } from '../forecast/crossing.ts';
import { backtest, type Backtest as Tested } from '../growth/backtest.ts';
import { fitGrowth } from '../growth/fitGrowth.ts';
import { proveMethod } from '../growth/proving/proveMethod.ts';
import { regimes } from '../growth/proving/regimes.ts';
import type { Score } from '../growth/proving/score.ts';
import { countQuantiles } from '../numerics/countQuantiles.ts';
import { counted } from '../report/counted.ts';
import { methodPicture } from '../report/method-picture.ts';
import { correctionOf } from './correction.ts';
import { type Desk, today } from './desk.ts';
import { readColumns } from './fleet-columns.ts';
import { placeFor, writeOut } from './out-file.ts';
import type { TasksOf } from './task.ts';

const ours = 'this method';
const pct = (share: number): number | null => (Number.isNaN(share) ? null : Number((100 * share).toFixed(1)));
const digits = (x: number, n: number): number | null => (Number.isNaN(x) ? null : Number(x.toFixed(n)));

/** Per cent of so many tests inside an interval that holds 90 %, as chance alone leaves it in 19 fleets of 20. */
function byChance(tests: number): { lo: number; hi: number } | null {
  if (tests === 0) return null;
  const [few, many] = countQuantiles(0.9 * tests, 0.09 * tests, [0.025, 0.975]);
  return { lo: Math.round((100 * few!) / tests), hi: Math.round((100 * many!) / tests) };
}

/** Which last tests count where. */
function basisOf({ accelerating, belowFloor, withoutLimit }: Tested): string {
  const words = [
    'Each segment’s last test, predicted from its earlier ones; temperature, spreads and shares as the whole fleet shows them.',
  ];
  if (belowFloor === 1)
    words.push(
      'One last test lay below its instrument’s floor: how far is not known, so the intervals leave it out, and among the chances it counts as not above the limit.',
    );
  if (belowFloor > 1)
    words.push(
      `${counted(belowFloor)} last tests lay below their instrument’s floor: how far is not known, so the intervals leave them out, and among the chances they count as not above the limit.`,
    );
  if (withoutLimit > 0)
    words.push(`Last tests of segments without a limit (${counted(withoutLimit)}) are no part of the chances.`);
  if (accelerating.tests > 0)
    words.push(
      '‘Speeding up before’ are those whose earlier tests alone showed it; chosen with the last test in sight they would be the ones that it surprised, and of those any interval holds fewer.',
    );
  return words.join(' ');
}

/** A backtest as rows and sentences. */
export function backtestRows(tested: Tested): Backtest {
  const { overall, families } = tested;
  const accelerating = { ...tested.accelerating, name: 'speeding up before' };
  const inside = pct(overall.inside90);
  return {
    sentence:
      tested.tests === 0
        ? 'No segment has two usable tests yet, so nothing could be held back and predicted.'
        : `Of ${counted(tested.tests)} last tests, each predicted from the segment’s earlier ones, ${inside} % lay inside the interval that was to hold 90 %; ${counted(tested.observed)} passed their limit where ${tested.expected.toFixed(1)} were expected to.`,
    basis: basisOf(tested),
    coverage: [overall, ...families, ...(accelerating.tests > 0 ? [accelerating] : [])].map((row) => ({
      name: row.name,
      tests: row.tests,
      inside90Pct: pct(row.inside90),
      chanceAlonePct: byChance(row.tests),
      inside50Pct: pct(row.inside50),
    })),
    calibration: tested.bins.map((bin) => ({
      fromPct: 100 * bin.from,
      toPct: 100 * bin.to,
      tests: bin.tests,
      predictedPct: bin.tests > 0 ? pct(bin.predicted) : null,
      happenedPct: bin.tests > 0 ? pct(bin.happened) : null,
    })),
    expected: tested.expected,
    observed: tested.observed,
    brier: tested.brier,
    brierOfAverage: tested.brierOfAverage,
    correction: correctionOf(tested).words,
  };
}

function scoreRow(fleet: string, method: string, score: Score): OutputOf<'method.check'>['scores'][number] {
  return {
    fleet,
    method,
    rankCorrelation: digits(score.rankCorrelation, 3),
    topFivePct: pct(score.precisionTop),
    inside90Pct: pct(score.coverage),
    inside90AcceleratingPct: pct(score.coverageAccelerating),
    inside90TopPct: pct(score.coverageTop),
    brier: digits(score.brier, 4),
    expectedOverObserved: digits(score.expectedOverObserved, 2),
  };
}

/** Refuses names that are no regime; undefined means all. */
function knownRegimes(names: readonly string[] | undefined): readonly string[] | undefined {
  if (!names || names.length === 0) return undefined;
  const unknown = names.find((name) => !regimes.some((regime) => regime.name === name));
  if (unknown === undefined) return names;
  const choices = regimes.map((regime) => regime.name).join(', ');
  throw refuse('bad-input', `There is no kind of fleet '${unknown}'. Write one of: ${choices}.`, { where: 'regimes' });
}

function check(desk: Desk, input: ParsedInputOf<'method.check'>): OutputOf<'method.check'> {
  const only = knownRegimes(input.regimes);
  // A place that cannot be written is better known before minutes of work.
  if (input.svg) placeFor(desk, input.svg);
  desk.progress(0, 100, 'simulating fleets and fitting them');
  const proofs = proveMethod(
    {
      segments: input.segments,
      seeds: [input.seed],
      ...(only ? { only } : {}),
      pExceed5: (fit, { segments }) =>
        crossings(
          { ...fit.posterior, count: segments.count, limitNsPerKm: segments.limitNsPerKm },
          { horizonYears: 10 },
        ).pExceed5,
    },
    (share) => {
      desk.checkStop();
      desk.progress(Math.round(100 * share), 100, 'simulating fleets and fitting them');
    },
  );
  const scores = proofs.flatMap(({ regime, methods }) =>
    methods.map(({ method, score }) => scoreRow(regime.name, method, score)).reverse(),
  );
  const families = proofs.flatMap(({ regime, methods }) =>
    methods
      .find(({ method }) => method === ours)!
      .score.coverageByFamily.map((row) => ({
        fleet: regime.name,
        family: row.family,
        segments: row.segments,
        inside90Pct: pct(row.coverage),
      })),
  );
  const written: string[] = [];
  if (input.svg) {
    writeOut(desk, input.svg, methodPicture(scores, ours));
    written.push(input.svg);
  }
  const covers = scores.filter((row) => row.method === ours).map((row) => row.inside90Pct ?? 0);
  return {
    sentence: `${proofs.length} kinds of fleet of ${input.segments} segments, seed ${input.seed}: the 90 % interval of growth held the truth in ${Math.min(...covers)} to ${Math.max(...covers)} % of segments.`,
    scores,
    families,
    written,
  };
}

export const methodTasks: TasksOf<'method.backtest' | 'method.check'> = {
  'method.backtest'(desk, { asOf }) {
    const read = readColumns(desk, asOf ?? today(desk));
    const fit = fitGrowth(read.columns, {}, (share) => {
      desk.checkStop();
      desk.progress(Math.round(share * 100), 100, 'fitting growth');
    });
    return backtestRows(backtest(fit));
  },
  'method.check': check,
};
