import { writeFileSync } from 'node:fs';
import type { OutputOf, ParsedInputOf } from '../contract/asks/index.ts';
import type { Backtest } from '../contract/asks/method.ts';
import { refuse } from '../contract/problem.ts';
import { crossings } from '../forecast/crossing.ts';
import { backtest, type Backtest as Tested } from '../growth/backtest.ts';
import type { FleetColumns } from '../growth/columns.ts';
import { fitGrowth } from '../growth/fitGrowth.ts';
import type { GrowthFit } from '../growth/growthFit.ts';
import { plainMixedModel, plainSlopes } from '../growth/proving/plainMethods.ts';
import { type Regime, regimes } from '../growth/proving/regimes.ts';
import { type Answers, type Score, scoreAnswers } from '../growth/proving/score.ts';
import { simulateFleet } from '../growth/proving/simulateFleet.ts';
import { methodPicture } from '../report/method-picture.ts';
import { type Desk, today } from './desk.ts';
import { readColumns } from './fleet-columns.ts';
import type { TasksOf } from './task.ts';

const ours = 'this method';
const pct = (share: number): number | null => (Number.isNaN(share) ? null : Number((100 * share).toFixed(1)));
const digits = (x: number, n: number): number | null => (Number.isNaN(x) ? null : Number(x.toFixed(n)));

/** A backtest as rows and sentences. */
export function backtestRows(tested: Tested): Backtest {
  const { overall, accelerating, families, calibration } = tested;
  const inside = pct(overall.inside90);
  return {
    sentence:
      tested.tests === 0
        ? 'No segment has two usable tests yet, so nothing could be held back and predicted.'
        : `Of ${tested.tests} last tests, each predicted from the segment’s earlier ones, ${inside} % lay inside the interval that was to hold 90 %; ${tested.observed} passed their limit where ${tested.expected.toFixed(1)} were expected to.`,
    basis: tested.basis,
    coverage: [overall, ...families, ...(accelerating.tests > 0 ? [accelerating] : [])].map((row) => ({
      name: row.name,
      tests: row.tests,
      inside90Pct: pct(row.inside90),
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
    correction: calibration.known
      ? `P(exceed) is corrected by this: log odds × ${calibration.stretch.toFixed(2)} ${calibration.shift < 0 ? '−' : '+'} ${Math.abs(calibration.shift).toFixed(2)}, from ${calibration.exceedances} exceedances.`
      : `P(exceed) is not corrected: ${calibration.because}.`,
  };
}

function answersOf(fit: GrowthFit, columns: FleetColumns): Answers {
  const { segments } = columns;
  const ahead = crossings(
    { ...fit.posterior, count: segments.count, limitNsPerKm: segments.limitNsPerKm },
    { horizonYears: 15 },
  );
  return {
    growth: fit.segments.growthPctPerYr,
    growthLo: fit.segments.growthLo,
    growthHi: fit.segments.growthHi,
    pExceed5: ahead.pExceed5,
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

function chosenRegimes(names: readonly string[] | undefined): readonly Regime[] {
  if (!names || names.length === 0) return regimes;
  return names.map((name) => {
    const regime = regimes.find((one) => one.name === name);
    if (!regime)
      throw refuse(
        'bad-input',
        `There is no kind of fleet '${name}'. Write one of: ${regimes.map((r) => r.name).join(', ')}.`,
        {
          where: 'regimes',
        },
      );
    return regime;
  });
}

function check(desk: Desk, input: ParsedInputOf<'method.check'>): OutputOf<'method.check'> {
  const chosen = chosenRegimes(input.regimes);
  const scores: OutputOf<'method.check'>['scores'] = [];
  const families: OutputOf<'method.check'>['families'] = [];
  chosen.forEach((regime, k) => {
    desk.checkStop();
    desk.progress(k, chosen.length, `fleet '${regime.name}': ${regime.about}`);
    const { columns, truth } = simulateFleet(regime, input.segments, input.seed);
    const { insulation } = columns.segments;
    const judge = (answers: Answers) => scoreAnswers(answers, truth, insulation);
    const own = judge(answersOf(fitGrowth(columns), columns));
    desk.checkStop();
    const plain = plainSlopes(columns);
    scores.push(
      scoreRow(regime.name, ours, own),
      scoreRow(regime.name, 'plain mixed model', judge(answersOf(plainMixedModel(columns), columns))),
      scoreRow(regime.name, 'Theil–Sen', judge({ growth: plain.theilSen })),
      scoreRow(regime.name, 'least squares', judge({ growth: plain.leastSquares })),
      scoreRow(regime.name, 'least squares, raw µA', judge({ growth: plain.rawLeastSquares })),
    );
    for (const row of own.coverageByFamily)
      families.push({ fleet: regime.name, family: row.family, segments: row.segments, inside90Pct: pct(row.coverage) });
  });
  const written: string[] = [];
  if (input.svg) {
    writeFileSync(input.svg, methodPicture(scores, ours));
    written.push(input.svg);
  }
  const own = scores.filter((row) => row.method === ours);
  const covers = own.map((row) => row.inside90Pct ?? 0);
  return {
    sentence: `${own.length} kinds of fleet of ${input.segments} segments, seed ${input.seed}: the 90 % interval of growth held the truth in ${Math.min(...covers)} to ${Math.max(...covers)} % of segments.`,
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
