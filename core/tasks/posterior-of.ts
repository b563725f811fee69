import type { LevelPosterior } from '../forecast/crossing.ts';
import { ways } from '../growth/agerParameters.ts';
import type { Standings } from './standings.ts';

/** A segment's posterior of level (ln nS/km, as of the day) and slope (1/year): a mixture of normals. */
export const posteriorOf = (standings: Standings, i: number) => {
  const from = i * standings.parts;
  const cut = (column: Float64Array) => column.subarray(from, from + standings.parts);
  return {
    weight: cut(standings.partWeight),
    level: cut(standings.partLevel),
    slope: cut(standings.partSlope),
    levelVariance: cut(standings.partLevelVariance),
    covariance: cut(standings.partCovariance),
    slopeVariance: cut(standings.partSlopeVariance),
  };
};

/** Chance that one phase ages on its own: the part behind the ways of the whole segment. NaN without a reading. */
export const pOnePhase = (standings: Standings, i: number): number => standings.partWeight[i * standings.parts + ways]!;

/** The posterior of all segments, as the crossing room takes it. */
export const levelPosteriorOf = (standings: Standings): LevelPosterior => ({
  count: standings.rank.length,
  parts: standings.parts,
  weight: standings.partWeight,
  level: standings.partLevel,
  slope: standings.partSlope,
  levelVariance: standings.partLevelVariance,
  covariance: standings.partCovariance,
  slopeVariance: standings.partSlopeVariance,
  limitNsPerKm: standings.limit,
});
