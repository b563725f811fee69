import { canonicalJson } from '../evidence/canonical.ts';
import { policies } from '../store/compliance.ts';
import { revisionOf } from '../store/ledger.ts';
import type { Fleet } from '../store/sql.ts';
import { changing } from './change.ts';
import { type Desk, today } from './desk.ts';
import { needRole } from './roles.ts';

/** The subject of the owner's rule that names the currency of all money figures. */
const subject = 'currency';

const versionsOf = (fleet: Fleet) => policies(fleet).filter((row) => row.subject === subject);

/** The currency the owner has named, as it stood at a revision; null for none. */
export function currencyOf(fleet: Fleet, revision = Number.POSITIVE_INFINITY): string | null {
  const last = versionsOf(fleet).findLast((row) => row.ledger_seq <= revision);
  return last ? (JSON.parse(last.rule) as { currency: string | null }).currency : null;
}

/** Names the currency, or takes the name away: a new version of the rule, in force from today. */
export function setCurrency(desk: Desk, currency: string | null, source: string): { revision: number } {
  needRole(desk, 'approver', 'Naming the currency');
  changing(desk, (change) => {
    const before = versionsOf(desk.fleet).at(-1);
    const row = {
      subject,
      version: (before?.version ?? 0) + 1,
      in_force_from: today(desk),
      rule: canonicalJson({ currency }),
      words: currency === null ? 'No currency is named.' : `Money is in ${currency}.`,
      source,
    };
    const id = change.add('policy', row);
    change.seal(
      { what: 'set currency', why: source },
      { entity: 'policy', id, before: before ? { words: before.words } : null, after: row },
    );
  });
  return { revision: revisionOf(desk.fleet) };
}
