import { byName } from './name-order.ts';
import { all, type Fleet, first, sqlite } from './sql.ts';
import type { PersonTable } from './tables.ts';

export function people(fleet: Fleet): PersonTable[] {
  return all(fleet, sqlite.selectFrom('person').selectAll()).sort((a, b) => byName(a.name, b.name));
}

export function personNamed(fleet: Fleet, name: string): PersonTable | undefined {
  return first(fleet, sqlite.selectFrom('person').selectAll().where('name', '=', name));
}

export function anyPerson(fleet: Fleet): boolean {
  return first(fleet, sqlite.selectFrom('person').select('id').limit(1)) !== undefined;
}
