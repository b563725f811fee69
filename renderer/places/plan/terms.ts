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

export function firstTerms(today: string): Terms {
  const usual: Terms = {
    budget: '2,500,000',
    years: '10',
    start: String(Number(today.slice(0, 4)) + 1),
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
