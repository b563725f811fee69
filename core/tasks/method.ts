import type { OutputOf, ParsedInputOf } from '../contract/asks/index.ts';
import { refuse } from '../contract/problem.ts';
import { crossings } from '../forecast/crossing.ts';
import { proveMethod } from '../growth/proving/proveMethod.ts';
import { regimes } from '../growth/proving/regimes.ts';
import type { Score } from '../growth/proving/score.ts';
import { methodPicture } from '../report/method-picture.ts';
import { pct } from './backtest-rows.ts';
import { type Desk, today } from './desk.ts';
import { placeFor, writeOut } from './out-file.ts';
import { backtestAsOf } from './standings.ts';
import type { TasksOf } from './task.ts';

const ours = 'this method';
const digits = (x: number, n: number): number | null => (Number.isNaN(x) ? null : Number(x.toFixed(n)));

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
  'method.backtest': (desk, { asOf }) => backtestAsOf(desk, asOf ?? today(desk)),
  'method.check': check,
};
