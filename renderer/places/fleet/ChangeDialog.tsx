import { useId, useState } from 'react';
import { ask } from '../../client/index.ts';
import { FormDialog } from '../../parts/FormDialog.tsx';
import { TextField } from '../../parts/TextField.tsx';
import { changedWords, namesWords } from '../../words/chosen.ts';
import { changeAbout } from '../../words/fleetForms.ts';
import { count } from '../../words/numbers.ts';
import { sharedFields } from '../../words/segmentFields.ts';
import type { Chosen } from '../chosen.ts';
import { FieldEntry } from './FieldEntry.tsx';
import { sayWritten } from './takeBack.ts';

/** One field of all that are chosen, set to one value: one line of the ledger, taken back as one. */
export function ChangeDialog({
  chosen,
  onClose,
}: {
  readonly chosen: readonly Chosen[];
  readonly onClose: () => void;
}) {
  const [field, setField] = useState(sharedFields[0]!);
  const [typed, setTyped] = useState('');
  const [unknown, setUnknown] = useState(false);
  const [reason, setReason] = useState('');
  const id = useId();
  const value = unknown ? '' : typed;
  const change = async (): Promise<void> => {
    const answer = await ask('segment.editAll', {
      segmentIds: chosen.map((each) => each.id) as never,
      field: field.field,
      value,
      why: reason.trim() || undefined,
    });
    sayWritten(changedWords(field, value, answer.changed, chosen.length), answer.line);
  };
  return (
    <FormDialog
      title={`Change a field of ${count(chosen.length, 'segment')}`}
      about={changeAbout}
      submit="Change them"
      ready={unknown || typed.trim() !== ''}
      onSubmit={change}
      onClose={onClose}
    >
      <div className="form form-gap">
        <label htmlFor={`${id}field`}>Field</label>
        <select
          id={`${id}field`}
          className="field"
          value={field.field}
          onChange={(event) => {
            setField(sharedFields.find((each) => each.field === event.target.value) ?? field);
            setTyped('');
            setUnknown(false);
          }}
        >
          {sharedFields.map((each) => (
            <option key={each.field} value={each.field}>
              {each.label}
            </option>
          ))}
        </select>
        {!unknown && (
          <>
            <label htmlFor={`${id}value`}>New value</label>
            <FieldEntry
              key={field.field}
              id={`${id}value`}
              of={{ ...field, needed: true }}
              value={typed}
              onValue={setTyped}
            />
          </>
        )}
        {!field.needed && (
          <>
            <label htmlFor={`${id}unknown`}>It is not known</label>
            <input
              id={`${id}unknown`}
              type="checkbox"
              className="tick"
              checked={unknown}
              onChange={(event) => setUnknown(event.target.checked)}
            />
          </>
        )}
        <TextField label="Reason, if there is one to keep" value={reason} onValue={setReason} maxLength={2000} />
      </div>
      <p className="caption form-gap chosen-names">{namesWords(chosen.map(({ name }) => name))}</p>
    </FormDialog>
  );
}
