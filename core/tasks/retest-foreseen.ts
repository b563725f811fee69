import type { Brief } from '../contract/shapes/retest.ts';
import { phaseAsymmetryReview } from '../trade/step-test.ts';

const figure = (value: number): string => String(Number(value.toPrecision(3)));

/**
 * Which stop rules the expected readings themselves would set off, phase by phase: said before the voltage goes on, so
 * that nobody takes for a surprise what the record foretells, or for usual what is over the limit.
 */
export function foreseen(expected: Brief['expected']): string[] {
  const known = expected.flatMap(({ phase, reading }) => (reading.known ? [{ phase, ...reading }] : []));
  const said: string[] = [];
  for (const { phase, ua, limitUa } of known) {
    if (limitUa === null || ua.hi <= limitUa) continue;
    said.push(
      ua.value > limitUa
        ? `Phase ${phase} is expected above the limit: ${figure(ua.value)} µA where the limit of one phase is ${figure(limitUa)}. Decide before the test what follows.`
        : `Phase ${phase} may read above the limit of one phase, ${figure(limitUa)} µA: its interval reaches ${figure(ua.hi)}.`,
    );
  }
  const sorted = known.toSorted((a, b) => a.ua.value - b.ua.value);
  const [lowest, highest] = [sorted[0], sorted.at(-1)];
  if (!lowest || !highest || lowest === highest) return said;
  const ratio = highest.ua.value / lowest.ua.value;
  if (ratio > phaseAsymmetryReview.ratio)
    said.push(
      `Phases ${lowest.phase} and ${highest.phase} are expected ${ratio.toPrecision(2)} : 1 apart, beyond the ${phaseAsymmetryReview.ratio} : 1 of the stop rule: the record shows them so. Look again all the same, and at whether it has grown.`,
    );
  return said;
}
