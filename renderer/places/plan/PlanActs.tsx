import { useState } from 'react';
import type { PlanResult } from '../../../core/contract/shapes/plan.ts';
import { ask, host } from '../../client/index.ts';
import { asProblem } from '../../parts/asProblem.ts';
import { FormDialog } from '../../parts/FormDialog.tsx';
import { TextField } from '../../parts/TextField.tsx';
import { say } from '../../parts/toast.ts';
import { termsWords } from '../../words/plan.ts';
import { keepAbout } from '../../words/planForms.ts';
import { useUnits } from '../settings.ts';
import { rememberKept } from './lastPlan.ts';

interface Props {
  readonly result: PlanResult;
  readonly readOnly: boolean;
  readonly onKept: () => void;
}

/** Keeps a plan under a name, and writes it for the board and the budget system. */
export function PlanActs({ result, readOnly, onKept }: Props) {
  const [naming, setNaming] = useState(false);
  const units = useUnits();
  const paper = units === 'us' ? 'Letter' : 'A4';
  const file = async (format: 'pdf' | 'xlsx' | 'csv'): Promise<void> => {
    try {
      const kept = await host.keepFile(
        await ask('plan.file', { asked: result.asked, question: result.question, format, paper }),
      );
      if (kept) say('The plan is written.');
    } catch (error) {
      say(asProblem(error).message);
    }
  };
  if (result.status === 'infeasible') return null;
  return (
    <p className="second plan-acts no-print">
      {!readOnly && (
        <>
          <button type="button" className="word" onClick={() => setNaming(true)}>
            keep this plan…
          </button>{' '}
          ·{' '}
        </>
      )}
      <button type="button" className="word" onClick={() => void file('pdf')}>
        PDF for the board
      </button>{' '}
      ·{' '}
      <button type="button" className="word" onClick={() => void file('xlsx')}>
        XLSX
      </button>{' '}
      ·{' '}
      <button type="button" className="word" onClick={() => void file('csv')}>
        CSV
      </button>
      {naming && <KeepDialog result={result} onKept={onKept} onClose={() => setNaming(false)} />}
    </p>
  );
}

function KeepDialog({ result, onKept, onClose }: Omit<Props, 'readOnly'> & { readonly onClose: () => void }) {
  const [name, setName] = useState(`${termsWords(result.question)}, ${result.asOf}`);
  return (
    <FormDialog
      title="Keep this plan"
      about={keepAbout}
      submit="Keep it"
      ready={name.trim() !== ''}
      onSubmit={async () => {
        const { id } = await ask('plan.save', { asked: result.asked, name });
        rememberKept(result, id);
        onKept();
        say(`“${name.trim()}” is kept.`);
      }}
      onClose={onClose}
    >
      <div className="form form-gap">
        <TextField label="Name" value={name} onValue={setName} maxLength={200} />
      </div>
    </FormDialog>
  );
}
