import type { Finding } from '../../core/contract/asks/findings.ts';
import type { VerdictRow } from '../../core/contract/asks/segment.ts';
import { dayWords } from './dates.ts';
import { count, measured } from './numbers.ts';
import { lengthWords, type UnitSystem } from './units.ts';

/** '1/1,000 of what was written', '1.2 times what was written'. */
function times(factor: number): string {
  const inverse = 1 / factor;
  const whole = Math.abs(Math.log10(factor) - Math.round(Math.log10(factor))) < 1e-6;
  if (whole && factor < 1) return `1/${Math.round(inverse).toLocaleString('en-GB')} of what was written`;
  if (whole) return `${Math.round(factor).toLocaleString('en-GB')} times what was written`;
  return `${measured(factor)} times what was written`;
}

function does({ does: cure, verdict }: VerdictRow, units: UnitSystem): string {
  if (verdict === 'dismissed') return 'stands as it was written';
  switch (cure.do) {
    case 'multiply':
      return `is taken as ${times(cure.factor)}`;
    case 'leave out':
      return 'is left out';
    case 'count once':
      return 'repeats another and counts once with it';
    case 'relabel':
      return 'has its phases exchanged back';
    case 'length':
      return `is taken as ${lengthWords(1000 * cure.lengthKm, units)}`;
    case 'temperature':
      return cure.as === 'fahrenheit' ? 'is read as °F' : 'counts as unknown';
  }
}

function about({ kind, testedOn, phase, does: cure, testOwnerId }: VerdictRow): string {
  if (cure.do === 'length') return 'The length';
  const day = testedOn === null ? '' : ` of ${dayWords(testedOn)}`;
  if (kind === 'instrument shift') return `What its instrument read from${day.replace(' of', '')} on`;
  if (cure.do === 'temperature') return `The ${cure.of === 'ambient' ? 'air' : 'insulation'} temperature${day}`;
  if (phase !== null) return `The reading${day}, phase ${phase},`;
  return `The test${day}${testOwnerId === null ? '' : ` (${testOwnerId})`}`;
}

/** 'The reading of 3 May 2019, phase A, is taken as 1/1,000 of what was written: finding accepted by … on … (why).' */
export const verdictSentence = (row: VerdictRow, units: UnitSystem): string =>
  `${about(row)} ${does(row, units)}: ${row.kind}, finding ${row.verdict} by ${row.who} on ${dayWords(row.on)} (${row.reason}).`;

/** What was made of a finding. */
export function verdictWords(verdict: NonNullable<Finding['verdict']>): string {
  const note = verdict.changesNumbers
    ? ''
    : ' It was given before verdicts changed the numbers; given again, it changes them.';
  const head = verdict.verdict === 'accepted' ? 'Accepted' : 'Dismissed';
  return `${head} by ${verdict.who} on ${dayWords(verdict.on)}: ${verdict.reason}.${note}`;
}

export const certaintyWords: Readonly<Record<Finding['certainty'], string>> = {
  certain: 'certain',
  likely: 'likely',
  weak: 'a hint',
};

/** What is said once verdicts are kept. */
export function keptWords(verdict: 'accepted' | 'dismissed', given: number, changing: number): string {
  const findings = given === 1 ? 'The finding is' : `${count(given, 'finding')} are`;
  if (changing === 0) return `${findings} ${verdict}; no number changes, since nothing of it is seen any more.`;
  return `${findings} ${verdict}; the ledger says why, and the ranking is made anew.`;
}
