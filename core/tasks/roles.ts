import { refuse } from '../contract/problem.ts';
import { anyPerson, personNamed } from '../store/people.ts';
import type { Fleet } from '../store/sql.ts';
import { type Desk, today } from './desk.ts';

export type Role = 'reader' | 'recorder' | 'approver';
const rank: Readonly<Record<Role, number>> = { reader: 0, recorder: 1, approver: 2 };

/** Stands wherever people and roles are shown. */
export const rolesLimit =
  'Roles keep honest people within their part and put a name on every change. They are no lock: whoever can write the ' +
  'file can also change it with other tools or give another name. Who may touch the file is decided by the folder it ' +
  'lies in; what was changed all the same is found by verify, and by a ledger head that was signed or printed elsewhere.';

/** The asker's role: null while nobody is named in the fleet, 'reader' for one who is not named or has left. */
export function roleOf(fleet: Fleet, who: string, day: string): Role | null {
  if (!anyPerson(fleet)) return null;
  const person = personNamed(fleet, who);
  if (!person || (person.left_on !== null && person.left_on <= day)) return 'reader';
  return person.role as Role;
}

/**
 * Refuses unless the asker has the role or a higher one. While no person is named, everything is allowed.
 * `doing` begins the sentence: 'Approving a plan'.
 */
export function needRole(desk: Desk, role: Role, doing: string): void {
  const own = roleOf(desk.fleet, desk.who, today(desk));
  if (own === null || rank[own] >= rank[role]) return;
  const named = personNamed(desk.fleet, desk.who) ? `is ${own} here` : 'is not named in this fleet';
  throw refuse(
    'not-allowed',
    `${doing} needs the role ${role}; '${desk.who}' ${named}. An approver can change that under Evidence, People.`,
  );
}
