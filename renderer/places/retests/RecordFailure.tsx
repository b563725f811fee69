import { useId, useState } from 'react';
import type { Phase } from '../../../core/contract/shapes/trade.ts';
import { ask } from '../../client/index.ts';
import { FormDialog } from '../../parts/FormDialog.tsx';
import { TextField } from '../../parts/TextField.tsx';
import { say } from '../../parts/toast.ts';
import type { Brief } from '../../words/retest.ts';
import { failureAbout, failureRecorded } from '../../words/retestForms.ts';

const parts = ['cable', 'splice', 'termination'] as const;
type Part = (typeof parts)[number];

interface Props {
  readonly brief: Brief;
  readonly on: string;
  readonly phase: Phase | null;
  readonly onRecorded: () => void;
  readonly onClose: () => void;
}

/** A breakdown was recorded: what failed, as far as it is known. */
export function RecordFailure({ brief, on, phase, onRecorded, onClose }: Props) {
  const [part, setPart] = useState<Part | ''>('');
  const [cause, setCause] = useState('');
  const partId = useId();
  const record = async (): Promise<'stay'> => {
    await ask('retest.recordFailure', {
      segmentId: brief.segmentId,
      failedOn: on,
      phase,
      part: part === '' ? null : part,
      cause: cause.trim() === '' ? null : cause.trim(),
    });
    say(failureRecorded(brief.name));
    // Another form follows in its place.
    onRecorded();
    return 'stay';
  };
  return (
    <FormDialog
      title={`${brief.name} broke down${phase === null ? '' : ` on phase ${phase}`}`}
      about={failureAbout}
      submit="Record the failure"
      ready
      onSubmit={record}
      onClose={onClose}
      leave="Later"
    >
      <div className="form form-gap">
        <label htmlFor={partId}>Part</label>
        <select
          id={partId}
          className="field"
          value={part}
          onChange={(event) => setPart(event.target.value as Part | '')}
        >
          <option value="">not known</option>
          {parts.map((each) => (
            <option key={each}>{each}</option>
          ))}
        </select>
        <TextField label="Cause, if known" value={cause} onValue={setCause} maxLength={500} />
      </div>
    </FormDialog>
  );
}
