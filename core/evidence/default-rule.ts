import { electricalIntervalMonths } from '../trade/intervals.ts';
import { phaseAsymmetryReview } from '../trade/step-test.ts';
import type { IntervalRule, LastWhen } from './due.ts';

/** What makes a cable's condition poor by our default: that it does is our own choice, the guide does not say. */
const poor: LastWhen = {
  breakdown: true,
  stopped: true,
  rising: true,
  phasesApartOver: phaseAsymmetryReview.ratio,
  levelOver: 0.5,
};
const highNeed = { criticalLoad: true };
const lowNeed = { criticalLoad: false, alternateSupply: true };

/**
 * Stands where the owner has set no rule: the guide's 36 months, by how much the cable is needed, at poor condition
 * where the last test found something, else at average.
 */
export const defaultRetestRule: IntervalRule & { readonly kind: 'retest interval' } = {
  kind: 'retest interval',
  cases: [
    { when: { ...highNeed, last: poor }, months: electricalIntervalMonths('high', 'poor') },
    { when: highNeed, months: electricalIntervalMonths('high', 'average') },
    { when: { ...lowNeed, last: poor }, months: electricalIntervalMonths('low', 'poor') },
    { when: lowNeed, months: electricalIntervalMonths('low', 'average') },
    { when: { last: poor }, months: electricalIntervalMonths('medium', 'poor') },
  ],
  otherwiseMonths: electricalIntervalMonths('medium', 'average'),
  earlyDays: 90,
  graceDays: 30,
};

export const defaultRetestWords =
  'Segments that feed a critical load are tested every 18 months, those whose load is not critical and can be fed ' +
  'another way every 72, all others every 36. After a test that found something, sooner: after 9, 36 and 18 months. ' +
  'Found is: a breakdown; a reading stopped early; leakage that rose while the voltage stood still; phases more than ' +
  '3 : 1 apart; a level above half the limit. A test more than 90 days before its due day is early; up to 30 days ' +
  'after it, it is on time. Which test that is, the rule does not say.';

export const defaultRetestSource =
  'Months: ANSI/NETA MTS 2007, Appendix B (a guide only): 36 months for electrical tests of medium- and high-voltage ' +
  'cable × 0.5, 1.0 and 2.0 for high, medium and low need at average condition, × 0.25, 0.5 and 1.0 at poor [read]. ' +
  'Which cable counts as which need, that such findings make a condition poor, half the limit, the 90 and the 30 days ' +
  'are our own choice (common practice, no source); 3 : 1 is from memory, unverified. Set your own rule.';
