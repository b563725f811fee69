import { useId, useState } from 'react';
import type { Finding } from '../../../core/contract/asks/findings.ts';
import { act } from '../acts.ts';

/** Accepts or dismisses a finding, with a reason that the ledger keeps. */
export function VerdictForm({ finding }: { readonly finding: Finding }) {
  const [verdict, setVerdict] = useState<'accepted' | 'dismissed' | null>(null);
  const [reason, setReason] = useState('');
  const field = useId();
  if (verdict === null)
    return (
      <p className="no-print">
        <button type="button" className="word" onClick={() => setVerdict('accepted')}>
          accept…
        </button>{' '}
        ·{' '}
        <button type="button" className="word" onClick={() => setVerdict('dismissed')}>
          dismiss…
        </button>
      </p>
    );
  const ready = reason.trim().length >= 3;
  return (
    <form
      className="verdict no-print"
      onSubmit={(event) => {
        event.preventDefault();
        if (ready)
          void act(
            'finding.decide',
            { keys: [finding.key], verdict, reason },
            `The finding is ${verdict}; the ledger says why.`,
          );
      }}
    >
      <label htmlFor={field}>{verdict === 'accepted' ? 'Accepted, because' : 'Dismissed, because'}</label>
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
      <button type="button" className="word" onClick={() => setVerdict(null)}>
        leave it
      </button>
    </form>
  );
}
