import type { OutputOf } from '../contract/asks/index.ts';
import type { FeederId, SubstationId } from '../contract/ids.ts';
import { counted } from '../report/counted.ts';
import { type SpliceName, splicesFrom, splicesLike } from '../store/browse.ts';
import type { Fleet } from '../store/sql.ts';
import { type Frame, frameOf } from './frame.ts';
import { Haystack } from './haystack.ts';

type Hit = OutputOf<'fleet.find'>['hits'][number];

interface Findable {
  readonly segments: Haystack;
  readonly feeders: readonly { readonly id: string; readonly searched: string; readonly ordinals: readonly number[] }[];
}

const findables = new WeakMap<Frame, Findable>();

/** What is searched, made once a frame. */
function findableOf(frame: Frame): Findable {
  let findable = findables.get(frame);
  if (!findable) {
    const feeders = [...frame.byFeeder].map(([id, ordinals]) => ({
      id,
      searched: frame.rows[ordinals[0]!]!.feederName.toLowerCase(),
      ordinals,
    }));
    findable = { segments: new Haystack(frame.searched), feeders };
    findables.set(frame, findable);
  }
  return findable;
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

function feederHits(frame: Frame, text: string, count: number): Hit[] {
  const hits: Hit[] = [];
  for (const { id, searched, ordinals } of findableOf(frame).feeders) {
    if (!searched.includes(text)) continue;
    const row = frame.rows[ordinals[0]!]!;
    hits.push({
      kind: 'feeder',
      id,
      substationId: row.substationId as SubstationId,
      feederId: id as FeederId,
      name: row.feederName,
      ownerId: row.feederName,
      where: `${row.substationName} · ${counted(ordinals.length)} segments`,
    });
    if (hits.length === count) break;
  }
  return hits;
}

/** Splices whose id begins so; only where nothing else is called so, those that hold the text anywhere. */
function spliceNames(fleet: Fleet, typed: string, count: number, othersFound: boolean): SpliceName[] {
  const spellings = new Set([typed, typed.toUpperCase(), typed.toLowerCase()]);
  const found = [...spellings].flatMap((spelling) => splicesFrom(fleet, spelling, count)).slice(0, count);
  if (found.length > 0 || othersFound) return found;
  return splicesLike(fleet, `%${typed.replace(/[\\%_]/g, '\\$&')}%`, count);
}

function spliceHits(fleet: Fleet, frame: Frame, typed: string, count: number, othersFound: boolean): Hit[] {
  return spliceNames(fleet, typed, count, othersFound).map((splice) => {
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

/** Segments first: those that hold the text, then those of which it begins the words; then feeders; splices only where the text found few others. */
export function find(fleet: Fleet, typed: string, count: number): Hit[] {
  const wanted = typed.trim();
  const text = wanted.toLowerCase();
  if (text === '') return [];
  const frame = frameOf(fleet);
  const haystack = findableOf(frame).segments;
  const segments = haystack.find(text, count);
  if (segments.length < count) {
    const held = new Set(segments);
    segments.push(...haystack.findWords(text, count).filter((i) => !held.has(i)));
    segments.length = Math.min(segments.length, count);
  }
  const hits = [...segments.map((i) => segmentHit(frame, i)), ...feederHits(frame, text, Math.min(4, count))];
  if (hits.length < count && text.length >= 3)
    hits.push(...spliceHits(fleet, frame, wanted, count - hits.length, hits.length > 0));
  return hits.slice(0, count);
}
