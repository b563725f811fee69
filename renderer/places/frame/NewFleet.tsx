import { useId, useState } from 'react';
import { Modal } from '../../parts/Modal.tsx';
import { newFleet } from './fleetActs.ts';

/** Asks for the name of a new, empty fleet. */
export function NewFleet({ open, onClose }: { readonly open: boolean; readonly onClose: () => void }) {
  const [name, setName] = useState('');
  const field = useId();
  const begin = async (): Promise<void> => {
    onClose();
    await newFleet(name.trim());
    setName('');
  };
  return (
    <Modal title="A new fleet" open={open} onClose={onClose}>
      <p className="second">One file holds everything: cables, tests, plans and the ledger of every change.</p>
      <form
        onSubmit={(event) => {
          event.preventDefault();
          if (name.trim() !== '') void begin();
        }}
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
        <div className="modal-acts">
          <button type="submit" className="button first" disabled={name.trim() === ''}>
            Begin
          </button>
          <button type="button" className="button" onClick={onClose}>
            Leave it
          </button>
        </div>
      </form>
    </Modal>
  );
}
