import type { Standings } from './standings.ts';

/** Why a segment has no rank. */
export const unrankedBecause = (standings: Standings, i: number): string =>
  standings.retired[i]
    ? 'retired'
    : standings.tests[i] === 0
      ? 'no usable reading'
      : 'its readings could not be brought to a level';
