import { useId, useState } from 'react';
import type { KeptPlan } from '../../../core/contract/shapes/plan.ts';
import { Modal } from '../../parts/Modal.tsx';
import { act } from '../acts.ts';

/** Approves a kept plan, with a reason; it is locked from then on. */
export function ApproveDialog({ plan, onClose }: { readonly plan: KeptPlan; readonly onClose: () => void }) {
  const [reason, setReason] = useState('');
  const field = useId();
  const ready = reason.trim().length >= 3;
  const approve = async (): Promise<void> => {
    const answer = await act('plan.approve', { id: plan.id, reason }, `“${plan.name}” is approved and locked.`);
    if (answer) onClose();
  };
  return (
    <Modal title={`Approve “${plan.name}”`} open onClose={onClose}>
      <p className="second">An approved plan is locked. The ledger keeps who approved it, when, and why.</p>
      <form
        onSubmit={(event) => {
          event.preventDefault();
          if (ready) void approve();
        }}
      >
        <div className="form form-gap">
          <label htmlFor={field}>Reason</label>
          <input
            id={field}
            className="field"
            value={reason}
            maxLength={2000}
            onChange={(event) => setReason(event.target.value)}
          />
        </div>
        <div className="modal-acts">
          <button type="submit" className="button first" disabled={!ready}>
            Approve
          </button>
          <button type="button" className="button" onClick={onClose}>
            Leave it
          </button>
        </div>
      </form>
    </Modal>
  );
}
