import type { Brief } from '../contract/shapes/retest.ts';
import { threeFigures } from '../report/quantities.ts';
import { phaseAsymmetryReview } from '../trade/step-test.ts';

const phasesOf = (some: readonly { readonly phase: string }[]): string =>
  `${some.length === 1 ? 'Phase' : 'Phases'} ${some.map(({ phase }) => phase).join(', ')}:`;

/**
 * Which stop rules the expected readings themselves would set off, phase by phase: said before the voltage goes on, so
 * that nobody takes for a surprise what the record foretells, or for usual what is over the limit.
 */
export function foreseen(expected: Brief['expected']): string[] {
  const known = expected.flatMap(({ phase, reading }) => (reading.known ? [{ phase, ...reading }] : []));
  const said: string[] = [];
  const above = known.filter(({ ua, limitUa }) => limitUa !== null && ua.value > limitUa);
  const perhaps = known.filter(({ ua, limitUa }) => limitUa !== null && ua.value <= limitUa && ua.hi > limitUa);
  if (above.length > 0)
    said.push(
      `${phasesOf(above)} expected above the limit of one phase, ${threeFigures(above[0]!.limitUa!)} µA: ${above.map(({ phase, ua }) => `${phase} ${threeFigures(ua.value)}`).join(', ')}. Decide before the test what follows.`,
    );
  if (perhaps.length > 0)
    said.push(
      `${phasesOf(perhaps)} perhaps above the limit of one phase, ${threeFigures(perhaps[0]!.limitUa!)} µA: up to ${perhaps.map(({ phase, ua }) => `${phase} ${threeFigures(ua.hi)}`).join(', ')}.`,
    );
  const sorted = known.toSorted((a, b) => a.ua.value - b.ua.value);
  const [lowest, highest] = [sorted[0], sorted.at(-1)];
  if (!lowest || !highest || lowest === highest) return said;
  const ratio = highest.ua.value / lowest.ua.value;
  if (ratio > phaseAsymmetryReview.ratio)
    said.push(
      `Phases ${lowest.phase}, ${highest.phase}: expected ${ratio.toPrecision(2)} : 1 apart, beyond the ${phaseAsymmetryReview.ratio} : 1 of the stop rule: the record shows them so. Look again all the same, and at whether it has grown.`,
    );
  return said;
}
