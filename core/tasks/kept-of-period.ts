import type { Desk } from './desk.ts';
import { lastTestIn } from './fleet-sums.ts';
import { type KeptKind, keep, keptNow, revisionFor } from './kept-answers.ts';
import { pack, unpack } from './pack.ts';

/**
 * A study of the tests of a period, kept with the fleet for each period in which there are others; its sentence names the
 * days that were asked for.
 */
export function keptOfPeriod<Answer extends { readonly sentence: string }>(
  desk: Desk,
  kind: KeptKind,
  { from, to }: { readonly from: string; readonly to: string },
  make: () => Answer,
  sentenceOf: (kept: Answer) => string,
): Answer {
  const { fleet } = desk;
  const revision = revisionFor(fleet, kind);
  const asked = `${from} ${lastTestIn(fleet, to)}`;
  const row = keptNow(fleet, kind, asked);
  if (row) {
    const kept = unpack(row.bytes).plain as Answer;
    return { ...kept, sentence: sentenceOf(kept) };
  }
  const made = make();
  keep(desk, kind, asked, revision, () => pack(made, {}));
  return made;
}
