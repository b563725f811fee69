import { refuse } from '../contract/problem.ts';
import { anyPerson, people, personNamed } from '../store/people.ts';
import { recordById } from '../store/records.ts';
import type { Fleet } from '../store/sql.ts';
import { changing } from './change.ts';
import { today } from './desk.ts';
import { needRole, type Role, roleOf, rolesLimit } from './roles.ts';
import type { TasksOf } from './task.ts';

const lastApprover = (fleet: Fleet, id: string): boolean =>
  people(fleet).every((person) => person.id === id || person.role !== 'approver' || person.left_on !== null);

export const peopleTasks: TasksOf<'person.list' | 'person.add' | 'person.change'> = {
  'person.list': (desk) => ({
    people: people(desk.fleet).map(({ id, name, role, left_on }) => ({
      id,
      name,
      role: role as Role,
      leftOn: left_on,
    })),
    you: { name: desk.who, role: roleOf(desk.fleet, desk.who, today(desk)) },
    limit: rolesLimit,
  }),

  'person.add': (desk, { name, role }) => {
    const isFirst = !anyPerson(desk.fleet);
    if (isFirst && name !== desk.who)
      throw refuse(
        'not-allowed',
        `The first person named becomes approver and must be you, '${desk.who}', or nobody here could name the next. To go by another name, start with --who NAME.`,
        { where: 'name' },
      );
    needRole(desk, 'approver', 'Naming a person');
    if (personNamed(desk.fleet, name)) throw refuse('bad-input', `'${name}' is named already.`, { where: 'name' });
    const given = isFirst ? 'approver' : role;
    return changing(desk, (change) => {
      const after = { name, role: given, left_on: null };
      const id = change.add('person', after);
      change.seal({ what: 'add person' }, { entity: 'person', id, before: null, after });
      return { id, role: given, revision: change.seq };
    });
  },

  'person.change': (desk, { id, role, leftOn, reason }) => {
    needRole(desk, 'approver', "Changing a person's role");
    const before = recordById(desk.fleet, 'person', id);
    if (!before) throw refuse('not-found', 'There is no such person.', { where: 'id' });
    const after = { ...before, role: role ?? before.role, left_on: leftOn === undefined ? before.left_on : leftOn };
    if (after.role === before.role && after.left_on === before.left_on)
      throw refuse('bad-input', 'Nothing would change: give a role or a day.', { where: 'role' });
    if (
      (after.role !== 'approver' || after.left_on !== null) &&
      before.role === 'approver' &&
      lastApprover(desk.fleet, id)
    )
      throw refuse('not-allowed', `'${before.name}' is the only approver left. Make another first.`, { where: 'id' });
    return changing(desk, (change) => {
      change.update('person', before, after);
      const shown = ({ role: r, left_on }: typeof before) => ({ role: r, left_on });
      change.seal(
        { what: 'change person', why: reason },
        { entity: 'person', id, before: shown(before), after: shown(after) },
      );
      return { revision: change.seq };
    });
  },
};
