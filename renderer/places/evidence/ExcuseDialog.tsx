import { useState } from 'react';
import { ask } from '../../client/index.ts';
import { FormDialog } from '../../parts/FormDialog.tsx';
import { TextField } from '../../parts/TextField.tsx';
import { say } from '../../parts/toast.ts';
import type { ComplianceRow } from '../../words/evidence.ts';
import { excuseAbout, excused } from '../../words/evidenceForms.ts';

/** Excuses a test that was due, with a reason that the ledger keeps. */
export function ExcuseDialog({ row, onClose }: { readonly row: ComplianceRow; readonly onClose: () => void }) {
  const [reason, setReason] = useState('');
  const [until, setUntil] = useState('');
  return (
    <FormDialog
      title={`Excuse the test of ${row.segment} due ${row.dueOn}`}
      about={excuseAbout}
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
        say(excused(row.segment));
      }}
      onClose={onClose}
    >
      <div className="form form-gap">
        <TextField label="Reason" value={reason} onValue={setReason} maxLength={2000} />
        <TextField
          label="Good until, if it ends"
          value={until}
          onValue={setUntil}
          maxLength={10}
          placeholder="2027-12-31"
        />
      </div>
    </FormDialog>
  );
}
