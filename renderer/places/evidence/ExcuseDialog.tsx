import { useId, useState } from 'react';
import { ask } from '../../client/index.ts';
import { FormDialog } from '../../parts/FormDialog.tsx';
import { say } from '../../parts/toast.ts';
import type { ComplianceRow } from '../../words/evidence.ts';

/** Excuses a test that was due, with a reason that the ledger keeps. */
export function ExcuseDialog({ row, onClose }: { readonly row: ComplianceRow; readonly onClose: () => void }) {
  const [reason, setReason] = useState('');
  const [until, setUntil] = useState('');
  const ids = { reason: useId(), until: useId() };
  return (
    <FormDialog
      title={`Excuse the test of ${row.segment} due ${row.dueOn}`}
      about="An excuse needs the role of approver where roles are set. It never removes the line from the register."
      submit="Excuse it"
      ready={reason.trim().length >= 3}
      onSubmit={async () => {
        const end = until.trim();
        await ask('excuse.add', {
          segmentId: row.segmentId,
          dueOn: row.dueOn,
          until: end === '' ? null : end,
          reason,
        });
        say(`${row.segment} is excused; the ledger says by whom and why.`);
      }}
      onClose={onClose}
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
          className="field"
          placeholder="2027-12-31"
          value={until}
          maxLength={10}
          onChange={(event) => setUntil(event.target.value)}
        />
      </div>
    </FormDialog>
  );
}
