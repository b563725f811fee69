import type { IntervalRule } from './due.ts';

/** One edition of the rule that stands where the owner has set none. */
export interface DefaultEdition {
  readonly edition: number;
  readonly rule: IntervalRule & { readonly kind: 'retest interval' };
  readonly words: string;
  readonly source: string;
}

/** What makes a cable's condition poor by our default: that it does is our own choice, the guide does not say. */
const poor = { breakdown: true, stopped: true, rising: true, phasesApartOver: 3, levelOver: 0.5 };
const highNeed = { criticalLoad: true };
const lowNeed = { criticalLoad: false, alternateSupply: true };

/**
 * The guide's 36 months, by how much the cable is needed, at poor condition where the last test found something, else at
 * average. Figures stand here as such, so that a table which is read anew moves no due day of the past.
 */
const first: DefaultEdition = {
  edition: 1,
  rule: {
    kind: 'retest interval',
    cases: [
      { when: { ...highNeed, last: poor }, months: 9 },
      { when: highNeed, months: 18 },
      { when: { ...lowNeed, last: poor }, months: 36 },
      { when: lowNeed, months: 72 },
      { when: { last: poor }, months: 18 },
    ],
    otherwiseMonths: 36,
    earlyDays: 90,
    graceDays: 30,
  },
  words:
    'Segments that feed a critical load are tested every 18 months, those whose load is not critical and can be fed ' +
    'another way every 72, all others every 36. After a test that found something, sooner: after 9, 36 and 18 months. ' +
    'Found is: a breakdown; a reading stopped early; leakage that rose while the voltage stood still; phases more than ' +
    '3 : 1 apart; a level above half the limit. A test more than 90 days before its due day is early; up to 30 days ' +
    'after it, it is on time. Which test that is, the rule does not say.',
  source:
    'Months: ANSI/NETA MTS 2007, Appendix B (a guide only): 36 months for electrical tests of medium- and high-voltage ' +
    'cable × 0.5, 1.0 and 2.0 for high, medium and low need at average condition, × 0.25, 0.5 and 1.0 at poor [read]. ' +
    'Which cable counts as which need, that such findings make a condition poor, half the limit, the 90 and the 30 days ' +
    'are our own choice (common practice, no source); 3 : 1 is from memory, unverified. Set your own rule.',
};

/**
 * All editions, oldest first. The first holds in every fleet from the beginning; a later one is taken up by a fleet with
 * a ledger line of its own and holds there from that day. One that was released is never changed: a change is a further
 * edition.
 */
export const defaultRetestEditions: readonly [DefaultEdition, ...DefaultEdition[]] = [first];
