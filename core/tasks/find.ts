import type { OutputOf } from '../contract/asks/index.ts';
import type { FeederId, SubstationId } from '../contract/ids.ts';
import { splicesLike } from '../store/browse.ts';
import type { Fleet } from '../store/sql.ts';
import { type Frame, frameOf } from './frame.ts';

type Hit = OutputOf<'fleet.find'>['hits'][number];

/** Best first: the whole name, its beginning, the beginning of a later word, anywhere. 9 where it is not found. */
function match(searched: string, text: string): number {
  const at = searched.indexOf(text);
  if (at < 0) return 9;
  if (at === 0) return searched[text.length] === '\n' ? 0 : 1;
  const before = searched[at - 1]!;
  if (before === '\n') return at + text.length === searched.length ? 0 : 1;
  return before === ' ' || before === '-' || searched.includes(` ${text}`) ? 2 : 3;
}

function segmentHit(frame: Frame, ordinal: number): Hit {
  const row = frame.rows[ordinal]!;
  return {
    kind: 'segment',
    id: row.id,
    substationId: row.substationId as SubstationId,
    feederId: row.feederId as FeederId,
    name: row.name,
    ownerId: row.ownerId,
    where: `${row.substationName} · ${row.feederName}`,
  };
}

function segmentHits(frame: Frame, text: string, count: number): Hit[] {
  const found: number[][] = [[], [], [], []];
  for (let i = 0; i < frame.searched.length; i++) {
    const how = match(frame.searched[i]!, text);
    if (how < 9 && found[how]!.length < count) found[how]!.push(i);
  }
  return found
    .flat()
    .slice(0, count)
    .map((i) => segmentHit(frame, i));
}

function feederHits(frame: Frame, text: string, count: number): Hit[] {
  const hits: Hit[] = [];
  for (const [feederId, ordinals] of frame.byFeeder) {
    const row = frame.rows[ordinals[0]!]!;
    if (!row.feederName.toLowerCase().includes(text)) continue;
    hits.push({
      kind: 'feeder',
      id: feederId,
      substationId: row.substationId as SubstationId,
      feederId: feederId as FeederId,
      name: row.feederName,
      ownerId: row.feederName,
      where: `${row.substationName} · ${ordinals.length} segments`,
    });
    if (hits.length === count) break;
  }
  return hits;
}

function spliceHits(fleet: Fleet, frame: Frame, text: string, count: number): Hit[] {
  const pattern = `%${text.replace(/[\\%_]/g, '\\$&')}%`;
  return splicesLike(fleet, pattern, count).map((splice) => {
    const hit = segmentHit(frame, frame.ordinalById.get(splice.segmentId)!);
    return {
      ...hit,
      kind: 'splice',
      name: splice.ownerId,
      ownerId: splice.ownerId,
      where: `${hit.name} · ${hit.where}`,
    };
  });
}

/** Segments first, then feeders; splices only where the text found few others. */
export function find(fleet: Fleet, typed: string, count: number): Hit[] {
  const text = typed.trim().toLowerCase();
  if (text === '') return [];
  const frame = frameOf(fleet);
  const hits = [...segmentHits(frame, text, count), ...feederHits(frame, text, Math.min(4, count))];
  if (hits.length < count && text.length >= 3) hits.push(...spliceHits(fleet, frame, text, count - hits.length));
  return hits.slice(0, count);
}
