import { refuse } from '../contract/problem.ts';
import { recordById } from '../store/records.ts';
import { segmentsBeginning } from '../store/retest.ts';
import { segmentByOwnerId, segmentsByName } from '../store/segment.ts';
import type { Fleet } from '../store/sql.ts';

/**
 * The segment a person means: by key, owner's id, name, or the beginning of an id or name that no other segment has.
 * Refuses with the candidates where several fit.
 */
export function segmentMeant(fleet: Fleet, typed: string): string {
  const text = typed.trim();
  if (/^[0-9a-f]{8}-/.test(text) && recordById(fleet, 'segment', text)) return text;
  const own = segmentByOwnerId(fleet, text);
  if (own) return own.id;
  const named = segmentsByName(fleet, text);
  if (named.length === 1) return named[0]!.id;
  if (named.length > 1) throw several(text, named);
  const beginning = segmentsBeginning(fleet, text);
  if (beginning.length === 1) return beginning[0]!.id;
  if (beginning.length > 1) throw several(text, beginning);
  throw refuse('not-found', `No segment is called '${text}', nor does one begin so.`, { where: 'segment' });
}

const several = (text: string, found: readonly { ownerId: string; name: string }[]) =>
  refuse('bad-input', `Several segments are called '${text}' or begin so. Give the owner’s id of one.`, {
    where: 'segment',
    details: found.map((one) => `${one.ownerId}: ${one.name}`),
  });
