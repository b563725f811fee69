import { useState } from 'react';
import type { KeptPlan } from '../../../core/contract/shapes/plan.ts';
import { ask } from '../../client/index.ts';
import { FormDialog } from '../../parts/FormDialog.tsx';
import { TextField } from '../../parts/TextField.tsx';
import { say } from '../../parts/toast.ts';
import { approveAbout, planApproved } from '../../words/planForms.ts';

/** Approves a kept plan, with a reason; it is locked from then on. */
export function ApproveDialog({ plan, onClose }: { readonly plan: KeptPlan; readonly onClose: () => void }) {
  const [reason, setReason] = useState('');
  return (
    <FormDialog
      title={`Approve “${plan.name}”`}
      about={approveAbout}
      submit="Approve"
      ready={reason.trim().length >= 3}
      onSubmit={async () => {
        await ask('plan.approve', { id: plan.id, reason });
        say(planApproved(plan.name));
      }}
      onClose={onClose}
    >
      <div className="form form-gap">
        <TextField label="Reason" value={reason} onValue={setReason} maxLength={2000} />
      </div>
    </FormDialog>
  );
}
