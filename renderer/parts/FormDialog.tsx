import { type FormEvent, type ReactNode, useState } from 'react';
import type { Problem } from '../../core/contract/problem.ts';
import { asProblem } from './asProblem.ts';
import { Modal } from './Modal.tsx';

interface Props {
  readonly title: string;
  /** What comes of it, in a sentence under the title. */
  readonly about?: ReactNode;
  /** The verb on the button. */
  readonly submit: string;
  /** False while something needed is missing. */
  readonly ready: boolean;
  /** Does it. The dialog closes once it is done, unless told to stay, and says in its place what was refused. */
  readonly onSubmit: () => Promise<unknown>;
  readonly onClose: () => void;
  /** The word on the button that leaves it. */
  readonly leave?: string;
  readonly wide?: boolean;
  /** A line of a refusal in the words of this form. */
  readonly named?: (line: string) => string;
  readonly children: ReactNode;
}

/** A sheet with a form on it: Enter does it, Escape leaves it. */
export function FormDialog({
  title,
  about,
  submit,
  ready,
  onSubmit,
  onClose,
  leave = 'Leave it',
  wide = false,
  named,
  children,
}: Props) {
  const [problem, setProblem] = useState<Problem | null>(null);
  const [busy, setBusy] = useState(false);
  const send = async (event: FormEvent): Promise<void> => {
    event.preventDefault();
    if (!ready || busy) return;
    setBusy(true);
    setProblem(null);
    try {
      if ((await onSubmit()) !== 'stay') return onClose();
      setBusy(false);
    } catch (error) {
      setProblem(asProblem(error));
      setBusy(false);
    }
  };
  return (
    <Modal title={title} open onClose={onClose} wide={wide}>
      {about !== undefined && <p className="second">{about}</p>}
      <form onSubmit={(event) => void send(event)}>
        {children}
        {problem && <NotTaken problem={problem} named={named ?? ((line) => line)} />}
        <div className="modal-acts">
          <button type="submit" className="button first" disabled={!ready || busy}>
            {submit}
          </button>
          <button type="button" className="button" onClick={onClose}>
            {leave}
          </button>
        </div>
      </form>
    </Modal>
  );
}

/** What of the form was not taken, and why. */
function NotTaken({ problem, named }: { readonly problem: Problem; readonly named: (line: string) => string }) {
  const details = problem.details ?? [];
  const head = problem.where && details.length === 0 ? `${problem.where}: ${problem.message}` : problem.message;
  return (
    <div className="caution form-gap" role="alert">
      <p>{named(head)}</p>
      {details.map((line) => (
        <p key={line}>{named(line)}</p>
      ))}
    </div>
  );
}
