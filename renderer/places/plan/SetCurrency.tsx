import { useId, useState } from 'react';
import { Modal } from '../../parts/Modal.tsx';
import { say } from '../../parts/toast.ts';
import { act } from '../acts.ts';

interface Props {
  readonly currency: string | null;
  readonly onClose: () => void;
}

/** Names the currency of all money figures, with who decided it. */
export function SetCurrency({ currency, onClose }: Props) {
  const [name, setName] = useState(currency ?? '');
  const [source, setSource] = useState('');
  const ids = { name: useId(), source: useId() };
  const ready = source.trim().length >= 3;
  const keep = async (): Promise<void> => {
    const next = name.trim() === '' ? null : name.trim();
    if (!(await act('plan.setCurrency', { currency: next, source }, ''))) return;
    onClose();
    const before = { currency, source: `undone: ${source}`.slice(0, 500) };
    say(
      next === null ? 'No currency is named now.' : `Money is in ${next} now.`,
      () => void act('plan.setCurrency', before, 'As it was before.'),
    );
  };
  return (
    <Modal title="Currency" open onClose={onClose}>
      <p className="second">The name stands beside money on screen and in print. No figure is converted by it.</p>
      <form
        onSubmit={(event) => {
          event.preventDefault();
          if (ready) void keep();
        }}
      >
        <div className="form form-gap">
          <label htmlFor={ids.name}>Currency</label>
          <input
            id={ids.name}
            className="field"
            value={name}
            maxLength={40}
            placeholder="three letters of ISO 4217, or a name; empty for none"
            onChange={(event) => setName(event.target.value)}
          />
          <label htmlFor={ids.source}>Source</label>
          <input
            id={ids.source}
            className="field"
            value={source}
            maxLength={500}
            placeholder="who decided it"
            onChange={(event) => setSource(event.target.value)}
          />
        </div>
        <div className="modal-acts">
          <button type="submit" className="button first" disabled={!ready}>
            Set it
          </button>
          <button type="button" className="button" onClick={onClose}>
            Leave it
          </button>
        </div>
      </form>
    </Modal>
  );
}
