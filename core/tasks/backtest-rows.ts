import type { Backtest } from '../contract/asks/method.ts';
import type { Backtest as Tested } from '../growth/backtest.ts';
import { countQuantiles } from '../numerics/countQuantiles.ts';
import { counted } from '../report/counted.ts';
import { correctionOf } from './correction.ts';

export const pct = (share: number): number | null => (Number.isNaN(share) ? null : Number((100 * share).toFixed(1)));

/** Of so many tests chance leaves so little room that it takes a decimal to tell. */
const finelyTold = 2000;

/** Per cent of so many tests inside an interval that holds 90 %, as chance alone leaves it in 19 fleets of 20. */
function byChance(tests: number): { lo: number; hi: number } | null {
  if (tests === 0) return null;
  const [few, many] = countQuantiles(0.9 * tests, 0.09 * tests, [0.025, 0.975]);
  const decimals = tests < finelyTold ? 0 : 1;
  const pctOf = (count: number) => Number(((100 * count) / tests).toFixed(decimals));
  return { lo: pctOf(few!), hi: pctOf(many!) };
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
  if (accelerating.tests > 0) {
    words.push(
      '‘Speeding up before’ are those whose earlier tests alone showed it; chosen with the last test in sight they would be the ones that it surprised, and of those any interval holds fewer.',
    );
    if (100 * accelerating.inside90 < byChance(accelerating.tests)!.lo)
      words.push(
        `Only ${pct(accelerating.inside90)} % of them lie inside, fewer than chance alone leaves: the interval of a segment that seems to speed up is too narrow here; let its next test decide.`,
      );
  }
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
