import { useState } from 'react';
import { ask } from '../../client/index.ts';
import { FormDialog } from '../../parts/FormDialog.tsx';
import { TextField } from '../../parts/TextField.tsx';
import { say } from '../../parts/toast.ts';
import { currencyAbout } from '../../words/planForms.ts';
import { act } from '../acts.ts';

interface Props {
  readonly currency: string | null;
  readonly onClose: () => void;
}

/** Names the currency of all money figures, with who decided it. */
export function SetCurrency({ currency, onClose }: Props) {
  const [name, setName] = useState(currency ?? '');
  const [source, setSource] = useState('');
  const keep = async (): Promise<void> => {
    const next = name.trim() === '' ? null : name.trim();
    await ask('plan.setCurrency', { currency: next, source });
    const before = { currency, source: `undone: ${source}`.slice(0, 500) };
    say(
      next === null ? 'No currency is named now.' : `Money is in ${next} now.`,
      () => void act('plan.setCurrency', before, 'As it was before.'),
    );
  };
  return (
    <FormDialog
      title="The currency of all money figures"
      about={currencyAbout}
      submit="Set it"
      ready={source.trim().length >= 3}
      onSubmit={keep}
      onClose={onClose}
    >
      <div className="form form-gap">
        <TextField
          label="Currency"
          value={name}
          onValue={setName}
          maxLength={40}
          placeholder="three letters of ISO 4217, or a name; empty for none"
        />
        <TextField label="Source" value={source} onValue={setSource} maxLength={500} placeholder="who decided it" />
      </div>
    </FormDialog>
  );
}
