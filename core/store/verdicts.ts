import { type Fleet, prepared } from './sql.ts';
import type { FindingVerdictTable } from './tables.ts';

export function allVerdicts(fleet: Fleet): FindingVerdictTable[] {
  return prepared(fleet, 'select * from finding_verdict').all() as FindingVerdictTable[];
}

export function verdictFor(fleet: Fleet, findingKey: string): FindingVerdictTable | undefined {
  return prepared(fleet, 'select * from finding_verdict where finding_key = ?').get(findingKey) as
    | FindingVerdictTable
    | undefined;
}
