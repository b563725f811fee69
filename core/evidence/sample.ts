import { sha256 } from './canonical.ts';

/** How the sample is drawn, in words that another auditor can follow with general tools. */
export const samplingWords =
  "For each test of the period that no correction supersedes, take SHA-256 of the seed, a vertical bar and the owner's " +
  'id of the test (UTF-8), in hexadecimal. Sort by that; the first n are the sample. ' +
  "In a shell: printf '%s|%s' SEED TEST_ID | sha256sum";

/** The first `count` in order of SHA-256(seed|owner's id), each with that hash. */
export function drawSample<T extends { readonly ownerId: string }>(
  population: readonly T[],
  seed: string,
  count: number,
): (T & { readonly order: string })[] {
  return population
    .map((one) => ({ ...one, order: sha256(`${seed}|${one.ownerId}`).toString('hex') }))
    .sort((a, b) => (a.order < b.order ? -1 : a.order > b.order ? 1 : 0))
    .slice(0, count);
}
