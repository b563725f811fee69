import { useMemo, useReducer, useState } from 'react';
import type { PlanItemRow, PlanResult, PlanWish } from '../../../core/contract/shapes/plan.ts';
import { Figure } from '../../charts/Figure.tsx';
import { MarginNote, MarginNotes } from '../../parts/MarginNotes.tsx';
import { Say } from '../../parts/Say.tsx';
import { failuresFigure, gapWords, moneyIn, netWords, planOpening, wishWords } from '../../words/plan.ts';
import { formerPlan } from '../../words/planForms.ts';
import { ItemSheet } from './ItemSheet.tsx';
import { KeptAs } from './KeptAs.tsx';
import { LeftOut } from './LeftOut.tsx';
import { keptAsOf } from './lastPlan.ts';
import { PlanActs } from './PlanActs.tsx';
import { PlanYears } from './PlanYears.tsx';
import { TrialLine } from './TrialLine.tsx';
import type { Trial } from './usePlan.ts';
import { WhatIf } from './WhatIf.tsx';
import { YearList } from './YearList.tsx';
import { YearsTable } from './YearsTable.tsx';

interface Props {
  readonly result: PlanResult;
  readonly trial: Trial | null;
  readonly busy: boolean;
  /** Another is being made in its place. */
  readonly former: boolean;
  readonly readOnly: boolean;
  readonly onTry: (wish: PlanWish) => void;
  readonly onShow: (result: PlanResult) => void;
  readonly onWishes: (wishes: readonly PlanWish[]) => void;
}

/** A plan: its sentence, its years as columns of a ledger, what was left out, and the margin that says how and how sure. */
export function PlanSheet({ result, trial, busy, former, readOnly, onTry, onShow, onWishes }: Props) {
  const [chosen, setChosen] = useState<PlanItemRow | null>(null);
  const [listed, setListed] = useState<number | null>(null);
  const [, kept] = useReducer((times: number) => times + 1, 0);
  const keptAs = keptAsOf(result);
  const figure = useMemo(() => failuresFigure(result), [result]);
  const names = useMemo(
    () => new Map([...result.items, ...result.leftOut].map((row) => [row.segment, row.name] as const)),
    [result],
  );
  const nameOf = (segment: string): string => names.get(segment) ?? segment;
  return (
    <div className={former ? 'with-margin plan-sheet former' : 'with-margin plan-sheet'} aria-busy={busy}>
      <div className="page-head">
        {former && <p className="second">{formerPlan}</p>}
        {keptAs && <KeptAs id={keptAs} />}
        <Say sentence={planOpening(result)} />
        <PlanActs result={result} readOnly={readOnly} onKept={kept} />
        {result.question.wishes.length > 0 && (
          <p className="wishes">
            <span className="second">By hand: </span>
            {result.question.wishes.map((wish) => (
              <span key={`${wish.kind} ${wish.segment}`} className="wish">
                {wishWords(wish, nameOf)}{' '}
                <button
                  type="button"
                  className="word"
                  disabled={busy}
                  onClick={() => onWishes(result.question.wishes.filter((each) => each !== wish))}
                >
                  undo
                </button>
              </span>
            ))}
          </p>
        )}
        {trial && (
          <TrialLine
            trial={trial}
            nameOf={nameOf}
            onKeep={() => onShow(trial.priced.after)}
            onDrop={() => onShow(result)}
          />
        )}
        {result.conflicts.map((conflict) => (
          <p key={conflict.message} className="caution">
            {conflict.message}
          </p>
        ))}
      </div>
      <MarginNotes
        titles={['How good this plan is', 'What it comes to', 'What was assumed', 'How failures are foreseen']}
      >
        <MarginNote title="How good this plan is">
          <p>{result.says}</p>
          <p>{gapWords(result)}</p>
        </MarginNote>
        <MarginNote title="What it comes to">
          <p>{netWords(result)}</p>
          <p>{moneyIn(result.currency)}.</p>
        </MarginNote>
        <MarginNote title="What it cannot say" caution>
          <p>{result.caution}</p>
        </MarginNote>
        <MarginNote title="What was assumed">
          {result.assumptions.map((line) => (
            <p key={line}>{line}</p>
          ))}
        </MarginNote>
        <MarginNote title="How failures are foreseen">
          <FailureModel lines={result.failureModel} />
        </MarginNote>
      </MarginNotes>
      <div className="page-body">
        <PlanYears result={result} busy={busy} onChoose={setChosen} onList={setListed} onTry={onTry} />
        <YearsTable result={result} />
        {result.byYear.length > 1 && <Figure figure={figure} fileName="expected-failures" height={220} />}
        <LeftOut result={result} />
        {result.status !== 'infeasible' && <WhatIf key={result.asked} result={result} />}
      </div>
      {listed !== null && !chosen && (
        <YearList result={result} year={listed} onChoose={setChosen} onClose={() => setListed(null)} />
      )}
      {chosen && (
        <ItemSheet
          item={chosen}
          result={result}
          onTry={(wish) => {
            setChosen(null);
            setListed(null);
            onTry(wish);
          }}
          onClose={() => setChosen(null)}
        />
      )}
    </div>
  );
}

/** What the failure model says of the fleet in a sentence; its figures for whoever opens them. */
function FailureModel({ lines: [meaning, ...figures] }: { readonly lines: readonly string[] }) {
  return (
    <>
      <p>{meaning}</p>
      {figures.length > 0 && (
        <details className="fit-figures">
          <summary>The fit in figures</summary>
          {figures.map((line) => (
            <p key={line}>{line}</p>
          ))}
        </details>
      )}
    </>
  );
}
