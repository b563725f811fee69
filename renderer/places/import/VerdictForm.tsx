import { useId, useState } from 'react';
import { say } from '../../parts/toast.ts';
import { keptWords } from '../../words/findings.ts';
import { act } from '../acts.ts';

export type Judging = 'accepted' | 'dismissed';

interface Props {
  readonly keys: readonly string[];
  /** There is a verdict already. */
  readonly again?: boolean;
  /** The verdict whose reason is being written; null while none is. */
  readonly open: Judging | null;
  readonly onOpen: (verdict: Judging | null) => void;
  readonly onKept: () => void;
}

/** Accepts or dismisses findings with one reason, which the ledger keeps in one line. */
export function VerdictForm({ keys, again = false, open, onOpen, onKept }: Props) {
  const [reason, setReason] = useState('');
  const field = useId();
  if (open === null)
    return (
      <p className="no-print">
        {again && <span className="second">Judge again: </span>}
        <button type="button" className="word" onClick={() => onOpen('accepted')}>
          accept…
        </button>{' '}
        ·{' '}
        <button type="button" className="word" onClick={() => onOpen('dismissed')}>
          dismiss…
        </button>
      </p>
    );
  const ready = reason.trim().length >= 3;
  const keep = async (): Promise<void> => {
    const kept = await act('finding.decide', { keys: [...keys], verdict: open, reason }, '');
    if (!kept) return;
    say(keptWords(open, keys.length, kept.changing));
    setReason('');
    onKept();
  };
  return (
    <form
      className="verdict no-print"
      onKeyDown={(event) => {
        if (event.key === 'Escape') onOpen(null);
      }}
      onSubmit={(event) => {
        event.preventDefault();
        if (ready) void keep();
      }}
    >
      <label htmlFor={field}>{open === 'accepted' ? 'Accepted, because' : 'Dismissed, because'}</label>
      <input
        id={field}
        className="field"
        value={reason}
        // biome-ignore lint/a11y/noAutofocus: the only field of a form that the person just opened
        autoFocus
        onChange={(event) => setReason(event.target.value)}
      />
      <button type="submit" className="button" disabled={!ready}>
        Keep this
      </button>
      <button type="button" className="word" onClick={() => onOpen(null)}>
        leave it
      </button>
    </form>
  );
}
