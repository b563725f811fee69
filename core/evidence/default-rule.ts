import type { IntervalRule } from './due.ts';

/** Stands where the owner has set no rule: the guide's 36 months at average condition, by how much the cable is needed. */
export const defaultRetestRule: IntervalRule & { readonly kind: 'retest interval' } = {
  kind: 'retest interval',
  cases: [
    { when: { criticalLoad: true }, months: 18 },
    { when: { criticalLoad: false, alternateSupply: true }, months: 72 },
  ],
  otherwiseMonths: 36,
  earlyDays: 90,
  graceDays: 30,
};

export const defaultRetestWords =
  'Segments that feed a critical load are tested every 18 months, those whose load is not critical and can be fed ' +
  'another way every 72, all others every 36. A test more than 90 days before its due day is early; up to 30 days ' +
  'after it, it is on time. Which test that is, the rule does not say.';

export const defaultRetestSource =
  'Months: ANSI/NETA MTS 2007, Appendix B (a guide only): 36 months for electrical tests of medium- and high-voltage ' +
  'cable × 0.5, 1.0 and 2.0 for high, medium and low need at average condition [read]. Which cable counts as which ' +
  'need, the 90 and the 30 days are our own choice; set your own rule.';
