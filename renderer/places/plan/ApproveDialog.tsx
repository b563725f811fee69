import { useId, useState } from 'react';
import type { KeptPlan } from '../../../core/contract/shapes/plan.ts';
import { ask } from '../../client/index.ts';
import { FormDialog } from '../../parts/FormDialog.tsx';
import { say } from '../../parts/toast.ts';

/** Approves a kept plan, with a reason; it is locked from then on. */
export function ApproveDialog({ plan, onClose }: { readonly plan: KeptPlan; readonly onClose: () => void }) {
  const [reason, setReason] = useState('');
  const field = useId();
  return (
    <FormDialog
      title={`Approve “${plan.name}”`}
      about="An approved plan is locked. The ledger keeps who approved it, when, and why."
      submit="Approve"
      ready={reason.trim().length >= 3}
      onSubmit={async () => {
        await ask('plan.approve', { id: plan.id, reason });
        say(`“${plan.name}” is approved and locked.`);
      }}
      onClose={onClose}
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
    </FormDialog>
  );
}
