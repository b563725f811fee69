import { useId, useState } from 'react';
import { Failed, Waiting } from '../../parts/states.tsx';
import { TextField } from '../../parts/TextField.tsx';
import { type Role, roles } from '../../words/evidence.ts';
import { nobodyNamed } from '../../words/evidenceForms.ts';
import { peopleHeads } from '../../words/heads.ts';
import { act } from '../acts.ts';
import { useAsk } from '../asking.ts';
import { ChangePerson } from './ChangePerson.tsx';

/** Named people and their roles, and plainly what a role in a local file is worth. */
export function People({ readOnly }: { readonly readOnly: boolean }) {
  const asked = useAsk('person.list', {});
  const [changing, setChanging] = useState<string | null>(null);
  if (asked.isError) return <Failed error={asked.error} again={() => void asked.refetch()} />;
  if (!asked.data) return <Waiting />;
  const { people, you, limit } = asked.data;
  const chosen = people.find((person) => person.id === changing);
  return (
    <>
      <p className="say">
        {people.length === 0
          ? nobodyNamed
          : `You are ${you.name}, ${you.role === null ? 'not named in this fleet' : you.role}.`}
      </p>
      <p className="caption people-limit">{limit}</p>
      {people.length > 0 && (
        <table className="ledger people">
          <thead>
            <tr>
              <th scope="col" className="left">
                {peopleHeads.name}
              </th>
              <th scope="col" className="left">
                {peopleHeads.role}
              </th>
              <th scope="col" className="left">
                {peopleHeads.leftOn}
              </th>
              {!readOnly && (
                <th scope="col" className="left">
                  <span className="unseen">Change</span>
                </th>
              )}
            </tr>
          </thead>
          <tbody>
            {people.map((person) => (
              <tr key={person.id}>
                <td className="left strong">{person.name}</td>
                <td className="left">{person.role}</td>
                <td className="left">{person.leftOn ?? '–'}</td>
                {!readOnly && (
                  <td className="left">
                    <button
                      type="button"
                      className="word"
                      aria-label={`Change ${person.name}`}
                      onClick={() => setChanging(person.id)}
                    >
                      change
                    </button>
                  </td>
                )}
              </tr>
            ))}
          </tbody>
        </table>
      )}
      {!readOnly && (
        <AddPerson key={people.length === 0 ? 'first' : 'next'} first={people.length === 0 ? you.name : null} />
      )}
      {chosen && <ChangePerson person={chosen} onClose={() => setChanging(null)} />}
    </>
  );
}

/** `first`: nobody is named yet, so it can only be this person, as approver. */
function AddPerson({ first }: { readonly first: string | null }) {
  const [name, setName] = useState(first ?? '');
  const [role, setRole] = useState<Role>(first === null ? 'recorder' : 'approver');
  const open = first === null ? roles : (['approver'] as const);
  const roleId = useId();
  const add = async (): Promise<void> => {
    const answer = await act('person.add', { name, role }, `${name.trim()} is named.`);
    // What was typed meanwhile stays.
    if (answer) setName((now) => (now === name ? '' : now));
  };
  return (
    <form
      className="add-person no-print"
      onSubmit={(event) => {
        event.preventDefault();
        if (name.trim() !== '') void add();
      }}
    >
      <TextField label="Name" value={name} onValue={setName} maxLength={200} />
      <label htmlFor={roleId}>Role</label>
      <select id={roleId} className="field" value={role} onChange={(event) => setRole(event.target.value as Role)}>
        {open.map((each) => (
          <option key={each}>{each}</option>
        ))}
      </select>
      <button type="submit" className="button" disabled={name.trim() === ''}>
        Name this person
      </button>
    </form>
  );
}
