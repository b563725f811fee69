import { useId, useState } from 'react';
import { FormDialog } from '../../parts/FormDialog.tsx';
import { newFleet } from './fleetActs.ts';

/** Asks for the name of a new, empty fleet. */
export function NewFleet({ onClose }: { readonly onClose: () => void }) {
  const [name, setName] = useState('');
  const field = useId();
  return (
    <FormDialog
      title="A new fleet"
      about="One file holds everything: cables, tests, plans and the ledger of every change."
      submit="Begin"
      ready={name.trim() !== ''}
      onSubmit={() => newFleet(name.trim())}
      onClose={onClose}
    >
      <div className="form form-gap">
        <label htmlFor={field}>Name</label>
        <input
          id={field}
          className="field"
          value={name}
          maxLength={120}
          // biome-ignore lint/a11y/noAutofocus: the only field of a dialog that the person just opened
          autoFocus
          onChange={(event) => setName(event.target.value)}
        />
      </div>
    </FormDialog>
  );
}
