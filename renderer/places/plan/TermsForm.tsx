import { useState } from 'react';
import { WordFilter } from '../../parts/WordFilter.tsx';
import { termsWords } from '../../words/plan.ts';
import { carryWords, otherTerms } from '../../words/planForms.ts';
import { asksFor, firstTerms, keepTerms, questionOf, type Terms } from './terms.ts';
import type { Question } from './usePlan.ts';

interface Props {
  readonly today: string;
  readonly busy: boolean;
  readonly currency: string | null;
  /** What the plan that stands below was made by. */
  readonly shown: Question | null;
  readonly onMake: (question: Omit<Question, 'wishes'>) => void;
}

const objectives = [
  { id: 'net-benefit', name: 'the most benefit net of cost' },
  { id: 'risk-removed', name: 'the most risk removed' },
] as const;

/** The question of a plan as one sentence with its numbers to fill in. */
export function TermsForm({ today, busy, currency, shown, onMake }: Props) {
  const [terms, setTerms] = useState<Terms>(() => firstTerms(today, shown));
  const asked = questionOf(terms);
  const change = (some: Partial<Terms>): void => {
    const next = { ...terms, ...some };
    setTerms(next);
    keepTerms(next);
  };
  const field = (
    key: 'budget' | 'years' | 'start' | 'discountPct' | 'horizon' | 'crewKm' | 'hazardPct',
    label: string,
    ch: number,
  ) => (
    <input
      className="term"
      aria-label={label}
      value={terms[key]}
      inputMode="decimal"
      autoComplete="off"
      placeholder={key === 'crewKm' ? 'any' : ''}
      style={{ width: `${ch}ch` }}
      onChange={(event) => change({ [key]: event.target.value })}
    />
  );
  return (
    <form
      className="terms"
      onSubmit={(event) => {
        event.preventDefault();
        if ('question' in asked && !busy) onMake(asked.question);
      }}
    >
      <p className="say">
        Spend {field('budget', 'Budget of each year', 10)}
        {currency === null ? '' : ` ${currency}`} a year for {field('years', 'Years of the plan', 3)} years from{' '}
        {field('start', 'First year', 5)} on{' '}
        <WordFilter
          label="What is sought"
          words={objectives.find((each) => each.id === terms.objective)?.name ?? ''}
          choices={objectives}
          chosen={[terms.objective]}
          onChoose={([id]) => change({ objective: id === 'risk-removed' ? 'risk-removed' : 'net-benefit' })}
        />
        , discounted at {field('discountPct', 'Discount rate, % a year', 3)} %, counting risk over{' '}
        {field('horizon', 'Years over which risk is counted', 3)} years.{' '}
        <WordFilter
          label="Money left over"
          words={terms.carryOver ? carryWords.on : carryWords.lost}
          choices={[
            { id: 'on', name: carryWords.on },
            { id: 'lost', name: carryWords.lost },
          ]}
          chosen={[terms.carryOver ? 'on' : 'lost']}
          onChoose={([id]) => change({ carryOver: id !== 'lost' })}
        />
        ; the crews manage {field('crewKm', 'Kilometres the crews can work on in a year', 4)} km a year; failure rates
        rise {field('hazardPct', 'Scenario: failure rates rise by this much a year beyond the fit, %', 3)} % a year
        faster than fitted.
      </p>
      <p className="actions">
        <button type="submit" className="button first" disabled={busy || 'wrong' in asked}>
          {shown ? 'Make it again' : 'Make the plan'}
        </button>
        {shown && !busy && 'question' in asked && !asksFor(terms, shown) && (
          <span className="second">{otherTerms(termsWords(shown), shown.start)}</span>
        )}
        {'wrong' in asked && <span className="caution terms-wrong">{asked.wrong}</span>}
      </p>
    </form>
  );
}
