import { useId, useState } from 'react';
import type { OutputOf } from '../../../core/contract/asks/index.ts';
import { ask } from '../../client/index.ts';
import { DayLine } from '../../parts/Day.tsx';
import { FormDialog } from '../../parts/FormDialog.tsx';
import { TextField } from '../../parts/TextField.tsx';
import { say } from '../../parts/toast.ts';
import { isDay } from '../../words/dates.ts';
import { type Role, roleMay, roles } from '../../words/evidence.ts';
import { personAbout, personTakenBack } from '../../words/evidenceForms.ts';
import { act } from '../acts.ts';

type Person = OutputOf<'person.list'>['people'][number];

/** Another role for a person, or the day they left: what they may do from then on stands before it is saved. */
export function ChangePerson({ person, onClose }: { readonly person: Person; readonly onClose: () => void }) {
  const [role, setRole] = useState<Role>(person.role);
  const [left, setLeft] = useState(person.leftOn ?? '');
  const [reason, setReason] = useState('');
  const id = useId();
  const leftOn = left.trim() === '' ? null : left.trim();
  const changes = role !== person.role || leftOn !== person.leftOn;
  const ready = changes && reason.trim().length >= 3 && (leftOn === null || isDay(leftOn));
  const submit = async (): Promise<void> => {
    await ask('person.change', { id: person.id, role, leftOn, reason: reason.trim() });
    say(`${person.name}: ${leftOn === null ? role : `left on ${leftOn}`}.`, () => {
      const before = { id: person.id, role: person.role, leftOn: person.leftOn, reason: 'taken back' };
      void act('person.change', before, personTakenBack);
    });
  };
  return (
    <FormDialog
      title={person.name}
      about={personAbout}
      submit="Save it"
      ready={ready}
      onSubmit={submit}
      onClose={onClose}
    >
      <div className="form form-gap">
        <label htmlFor={`${id}role`}>Role</label>
        <select
          id={`${id}role`}
          className="field"
          value={role}
          onChange={(event) => setRole(event.target.value as Role)}
        >
          {roles.map((each) => (
            <option key={each}>{each}</option>
          ))}
        </select>
        <DayLine label="Left on" value={left} onValue={setLeft} optional placeholder="still here" />
        <TextField label="Why" value={reason} onValue={setReason} maxLength={2000} />
      </div>
      <p className="second form-gap" role="status">
        {changes
          ? `From then on ${person.name} ${leftOn === null ? roleMay[role] : `${roleMay.reader}, from ${leftOn}`}.`
          : `${person.name} ${person.leftOn === null ? roleMay[person.role] : roleMay.reader}.`}
      </p>
    </FormDialog>
  );
}
