import { useId, useState } from 'react';
import { Modal } from '../../parts/Modal.tsx';
import type { ComplianceRow } from '../../words/evidence.ts';
import { act } from '../acts.ts';

/** Excuses a test that was due, with a reason that the ledger keeps. */
export function ExcuseDialog({ row, onClose }: { readonly row: ComplianceRow; readonly onClose: () => void }) {
  const [reason, setReason] = useState('');
  const [until, setUntil] = useState('');
  const ids = { reason: useId(), until: useId() };
  const excuse = async (): Promise<void> => {
    const answer = await act(
      'excuse.add',
      { segmentId: row.segmentId, dueOn: row.dueOn, until: until === '' ? null : until, reason },
      `${row.segment} is excused; the ledger says by whom and why.`,
    );
    if (answer) onClose();
  };
  return (
    <Modal title={`Excuse the test of ${row.segment} due ${row.dueOn}`} open onClose={onClose}>
      <p className="second">
        An excuse needs the role of approver where roles are set. It never removes the line from the register.
      </p>
      <form
        onSubmit={(event) => {
          event.preventDefault();
          if (reason.trim().length >= 3) void excuse();
        }}
      >
        <div className="form form-gap">
          <label htmlFor={ids.reason}>Reason</label>
          <input
            id={ids.reason}
            className="field"
            value={reason}
            maxLength={2000}
            onChange={(event) => setReason(event.target.value)}
          />
          <label htmlFor={ids.until}>Good until, if it ends</label>
          <input
            id={ids.until}
            type="date"
            className="field"
            value={until}
            onChange={(event) => setUntil(event.target.value)}
          />
        </div>
        <div className="modal-acts">
          <button type="submit" className="button first" disabled={reason.trim().length < 3}>
            Excuse it
          </button>
          <button type="button" className="button" onClick={onClose}>
            Leave it
          </button>
        </div>
      </form>
    </Modal>
  );
}
