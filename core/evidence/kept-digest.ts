import { newSha256 } from './canonical.ts';

/** What a kept answer's digest covers: its name, what was asked, for which revision, when, and the bytes. */
export const keptDigest = (kept: {
  readonly name: string;
  readonly asked: string;
  readonly revision: number;
  readonly madeAt: string;
  readonly bytes: Uint8Array;
}): Buffer =>
  newSha256()
    .update(JSON.stringify([kept.name, kept.asked, kept.revision, kept.madeAt]))
    .update(kept.bytes)
    .digest();
