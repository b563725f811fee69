import { type FrameRow, segmentFrame } from '../store/browse.ts';
import type { Fleet } from '../store/sql.ts';
import type { Desk } from './desk.ts';
import { packRows, unpackRows } from './frame-packed.ts';
import { isKept, keep, keptKind, keptNow, revisionFor } from './kept-answers.ts';

/** Every segment with what stands above it, in order of the owner's id: the order of all model columns. */
export interface Frame {
  readonly revision: number;
  readonly rows: readonly FrameRow[];
  readonly ordinalById: ReadonlyMap<string, number>;
  /** Has these ordinals found a few at a time, so that the first page of a segment need not wait for all. */
  readonly findEveryPlace: () => Generator<void, void>;
  /** Ordinals of the segments of each feeder and of each substation. */
  readonly byFeeder: ReadonlyMap<string, readonly number[]>;
  readonly bySubstation: ReadonlyMap<string, readonly number[]>;
  /** Lower-case name and owner's id of each segment, for finding. */
  readonly searched: readonly string[];
}

/** Raise the edition with every change of what a row holds. */
const kind = keptKind({
  name: 'frame, edition 1',
  passesOver: [
    'splice',
    'termination',
    'intervention',
    'failure',
    'instrument',
    'calibration',
    'source_file',
    'test_event',
    'trace',
    'person',
    'leakage_limit',
    'policy',
    'excuse',
    'cost',
    'finding_verdict',
    'treatment',
    'plan',
    'layout',
  ],
});
const frames = new WeakMap<Fleet, Frame>();

/** The frame of the fleet as it is now; made once for as long as no segment, feeder or substation is written. */
export function frameOf(fleet: Fleet): Frame {
  const revision = revisionFor(fleet, kind);
  const kept = frames.get(fleet);
  if (kept?.revision === revision) return kept;
  const row = keptNow(fleet, kind, '');
  const frame = makeFrame(row ? unpackRows(row.bytes) : segmentFrame(fleet), revision);
  frames.set(fleet, frame);
  return frame;
}

/** Keeps the frame with the fleet, so that whoever opens it next need not read all tables for it. */
export function keepFrame(desk: Desk): void {
  const { rows, revision } = frameOf(desk.fleet);
  if (isKept(desk.fleet, kind, '')) return;
  const bytes = packRows(rows);
  if (bytes) keep(desk, kind, '', revision, () => bytes);
}

const placesAtOnce = 5000;

/** What not every ask needs is made when it is first asked for. */
function makeFrame(rows: readonly FrameRow[], revision: number): Frame {
  const byFeeder = new Map<string, number[]>();
  const bySubstation = new Map<string, number[]>();
  for (let i = 0; i < rows.length; i++) {
    push(byFeeder, rows[i]!.feederId, i);
    push(bySubstation, rows[i]!.substationId, i);
  }
  const ordinalById = new Map<string, number>();
  const findPlaces = (end: number): void => {
    for (let i = ordinalById.size; i < end; i++) ordinalById.set(rows[i]!.id, i);
  };
  let searched: string[] | undefined;
  return {
    revision,
    rows,
    byFeeder,
    bySubstation,
    get ordinalById() {
      findPlaces(rows.length);
      return ordinalById;
    },
    *findEveryPlace() {
      for (let end = placesAtOnce; end < rows.length; end += placesAtOnce) {
        findPlaces(end);
        yield;
      }
      findPlaces(rows.length);
    },
    get searched() {
      searched ??= rows.map(({ name, ownerId }) => `${name}\n${ownerId}`.toLowerCase());
      return searched;
    },
  };
}

function push(map: Map<string, number[]>, key: string, value: number): void {
  const list = map.get(key);
  if (list) list.push(value);
  else map.set(key, [value]);
}
