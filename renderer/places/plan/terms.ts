import { whole } from '../../words/numbers.ts';
import { horizonFault, termFaults } from '../../words/planForms.ts';
import type { Question } from './usePlan.ts';

/** The terms as they are typed: text until they are used. */
export interface Terms {
  readonly budget: string;
  readonly years: string;
  readonly start: string;
  readonly discountPct: string;
  readonly horizon: string;
  readonly crewKm: string;
  readonly hazardPct: string;
  readonly carryOver: boolean;
  readonly objective: 'net-benefit' | 'risk-removed';
}

const key = 'cable-yearbook-plan-terms';

/** @param shown the plan that stands below, whose first year is kept */
export function firstTerms(today: string, shown: Question | null): Terms {
  const usual: Terms = {
    budget: '2,500,000',
    years: '10',
    start: String(shown?.start ?? Number(today.slice(0, 4)) + 1),
    discountPct: '5',
    horizon: '20',
    crewKm: '',
    hazardPct: '0',
    carryOver: true,
    objective: 'risk-removed',
  };
  try {
    return { ...usual, ...(JSON.parse(localStorage.getItem(key) ?? '{}') as Partial<Terms>), start: usual.start };
  } catch {
    return usual;
  }
}

/** The terms that ask this question. */
const termsOf = (question: Question): Terms => ({
  budget: whole(question.budget),
  years: String(question.years ?? 10),
  start: String(question.start ?? ''),
  discountPct: percentOf(question.discountRate ?? 0.05),
  horizon: String(question.horizon ?? 20),
  crewKm: question.crewKm == null ? '' : String(question.crewKm),
  hazardPct: percentOf(question.hazardGrowth ?? 0),
  carryOver: question.carryOver ?? true,
  objective: question.objective ?? 'risk-removed',
});

const percentOf = (share: number): string => String(Number((100 * share).toPrecision(6)));

/** Puts the terms of a plan that is opened into the form. */
export const takeTerms = (question: Question): void => keepTerms(termsOf(question));

/** Whether these terms ask for the plan that was made by this question, moves by hand apart. */
export const asksFor = (terms: Terms, question: Question): boolean =>
  JSON.stringify(questionOf(terms)) === JSON.stringify(questionOf(termsOf(question)));

export const keepTerms = (terms: Terms): void => localStorage.setItem(key, JSON.stringify(terms));

const number = (text: string): number => Number(text.replaceAll(/[,\s\u00a0]/g, ''));
const within = (value: number, lo: number, hi: number): boolean => value >= lo && value <= hi;

/** The question that the terms ask, or which term is not right and what would be. */
export function questionOf(terms: Terms): { readonly question: Omit<Question, 'wishes'> } | { readonly wrong: string } {
  const budget = number(terms.budget);
  if (!(budget > 0)) return { wrong: termFaults.budget };
  const years = number(terms.years);
  if (!Number.isInteger(years) || !within(years, 1, 30)) return { wrong: termFaults.years };
  const start = number(terms.start);
  if (!Number.isInteger(start) || !within(start, 1990, 2200)) return { wrong: termFaults.start };
  const horizon = number(terms.horizon);
  if (!Number.isInteger(horizon) || !within(horizon, years, 60)) return { wrong: horizonFault(years) };
  const discountRate = number(terms.discountPct) / 100;
  if (!within(discountRate, 0, 0.3)) return { wrong: termFaults.discount };
  const hazardGrowth = number(terms.hazardPct) / 100;
  if (!within(hazardGrowth, -0.2, 0.5)) return { wrong: termFaults.hazard };
  const crew = terms.crewKm.trim() === '' ? null : number(terms.crewKm);
  if (crew !== null && !(crew > 0)) return { wrong: termFaults.crewKm };
  const { carryOver, objective } = terms;
  return {
    question: {
      budget,
      years,
      start,
      discountRate,
      horizon,
      carryOver,
      hazardGrowth,
      objective,
      ...(crew === null ? {} : { crewKm: crew }),
    },
  };
}
