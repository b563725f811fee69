import { type FrameRow, segmentFrame } from '../store/browse.ts';
import type { Fleet } from '../store/sql.ts';
import { keptKind, revisionFor } from './kept-answers.ts';

/** Every segment with what stands above it, in order of the owner's id: the order of all model columns. */
export interface Frame {
  readonly revision: number;
  readonly rows: readonly FrameRow[];
  readonly ordinalById: ReadonlyMap<string, number>;
  /** Ordinals of the segments of each feeder and of each substation. */
  readonly byFeeder: ReadonlyMap<string, readonly number[]>;
  readonly bySubstation: ReadonlyMap<string, readonly number[]>;
  /** Lower-case name and owner's id of each segment, for finding. */
  readonly searched: readonly string[];
}

/** Held in memory alone. */
const kind = keptKind({
  name: 'frame',
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
  const frame = makeFrame(segmentFrame(fleet), revision);
  frames.set(fleet, frame);
  return frame;
}

function makeFrame(rows: readonly FrameRow[], revision: number): Frame {
  const ordinalById = new Map<string, number>();
  const byFeeder = new Map<string, number[]>();
  const bySubstation = new Map<string, number[]>();
  const searched: string[] = new Array(rows.length);
  for (let i = 0; i < rows.length; i++) {
    const row = rows[i]!;
    ordinalById.set(row.id, i);
    push(byFeeder, row.feederId, i);
    push(bySubstation, row.substationId, i);
    searched[i] = `${row.name}\n${row.ownerId}`.toLowerCase();
  }
  return { revision, rows, ordinalById, byFeeder, bySubstation, searched };
}

function push(map: Map<string, number[]>, key: string, value: number): void {
  const list = map.get(key);
  if (list) list.push(value);
  else map.set(key, [value]);
}
