import { useState } from 'react';
import { FormDialog } from '../../parts/FormDialog.tsx';
import { TextField } from '../../parts/TextField.tsx';
import { newFleetAbout } from '../../words/frame.ts';
import { newFleet } from './fleetActs.ts';

/** Asks for the name of a new, empty fleet. */
export function NewFleet({ onClose }: { readonly onClose: () => void }) {
  const [name, setName] = useState('');
  return (
    <FormDialog
      title="A new fleet"
      about={newFleetAbout}
      submit="Begin"
      ready={name.trim() !== ''}
      onSubmit={() => newFleet(name.trim())}
      onClose={onClose}
    >
      <div className="form form-gap">
        <TextField label="Name" value={name} onValue={setName} maxLength={120} only />
      </div>
    </FormDialog>
  );
}
