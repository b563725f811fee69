import type { Backtest } from '../growth/backtest.ts';
import { calibrated } from '../growth/calibration.ts';

/** Beyond chance at the 1 % level, were the expected number right (Poisson). */
const beyondChance = 2.576;

/** Whether P(exceed) needs correcting by what happened on this fleet, and how; in words where not. */
export function correctionOf({ calibration, expected, observed }: Backtest): {
  readonly correct: (p: number) => number;
  readonly words: string;
} {
  const as = (p: number) => p;
  if (!calibration.known) return { correct: as, words: `P(exceed) stands as fitted: ${calibration.because}.` };
  if (Math.abs(observed - expected) < beyondChance * Math.sqrt(expected))
    return {
      correct: as,
      words: `P(exceed) stands as fitted: ${observed} exceedances where ${expected.toFixed(1)} were expected is within chance.`,
    };
  const sign = calibration.shift < 0 ? '−' : '+';
  return {
    correct: (p) => calibrated(calibration, p),
    words: `P(exceed) is corrected: log odds × ${calibration.stretch.toFixed(2)} ${sign} ${Math.abs(calibration.shift).toFixed(2)}, from ${calibration.exceedances} exceedances where ${expected.toFixed(1)} were expected.`,
  };
}
