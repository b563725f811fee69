import { useId, useState } from 'react';
import type { Phase } from '../../../core/contract/shapes/trade.ts';
import { Modal } from '../../parts/Modal.tsx';
import type { Brief } from '../../words/retest.ts';
import { act } from '../acts.ts';

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
  const ids = { part: useId(), cause: useId() };
  const record = async (): Promise<void> => {
    const answer = await act(
      'retest.recordFailure',
      {
        segmentId: brief.segmentId,
        failedOn: on,
        phase,
        part: part === '' ? null : part,
        cause: cause.trim() === '' ? null : cause.trim(),
      },
      `The failure of ${brief.name} is recorded.`,
    );
    if (answer) onRecorded();
  };
  return (
    <Modal title={`${brief.name} broke down${phase === null ? '' : ` on phase ${phase}`}`} open onClose={onClose}>
      <p className="second">
        The test is recorded. What failed is a record of its own, and the repair after it another; leave them for later
        if they are not known yet.
      </p>
      <form
        onSubmit={(event) => {
          event.preventDefault();
          void record();
        }}
      >
        <div className="form form-gap">
          <label htmlFor={ids.part}>Part</label>
          <select
            id={ids.part}
            className="field"
            value={part}
            onChange={(event) => setPart(event.target.value as Part | '')}
          >
            <option value="">not known</option>
            {parts.map((each) => (
              <option key={each}>{each}</option>
            ))}
          </select>
          <label htmlFor={ids.cause}>Cause, if known</label>
          <input
            id={ids.cause}
            className="field"
            value={cause}
            maxLength={500}
            onChange={(event) => setCause(event.target.value)}
          />
        </div>
        <div className="modal-acts">
          <button type="submit" className="button first">
            Record the failure
          </button>
          <button type="button" className="button" onClick={onClose}>
            Later
          </button>
        </div>
      </form>
    </Modal>
  );
}
