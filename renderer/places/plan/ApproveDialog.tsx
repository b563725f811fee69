import { useState } from 'react';
import type { KeptPlan } from '../../../core/contract/shapes/plan.ts';
import { ask } from '../../client/index.ts';
import { FormDialog } from '../../parts/FormDialog.tsx';
import { TextField } from '../../parts/TextField.tsx';
import { say } from '../../parts/toast.ts';

/** Approves a kept plan, with a reason; it is locked from then on. */
export function ApproveDialog({ plan, onClose }: { readonly plan: KeptPlan; readonly onClose: () => void }) {
  const [reason, setReason] = useState('');
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
        <TextField label="Reason" value={reason} onValue={setReason} maxLength={2000} />
      </div>
    </FormDialog>
  );
}
