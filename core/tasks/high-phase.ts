import type { HighPhase } from '../contract/shapes/standing.ts';
import { phaseNames } from './retest-expect.ts';
import type { Standings } from './standings.ts';

/** Surely: with 95 % probability, one-sided. */
const sureSds = 1.645;
/** A phase is worth naming where it surely stands at least a quarter above the mean of the three. */
const worthNaming = Math.log(1.25);

/** The phase that surely stands above the mean of its segment's phases as of the day; null where none does. */
export function highPhase(standings: Standings, i: number): HighPhase | null {
  if (standings.rank[i] === 0) return null;
  let high = 0;
  for (let phase = 1; phase < 3; phase++)
    if (standings.phaseLevel[3 * i + phase]! > standings.phaseLevel[3 * i + high]!) high = phase;
  const beside = standings.phaseLevel[3 * i + high]!;
  if (beside - sureSds * Math.sqrt(standings.phaseVariance[3 * i + high]!) < worthNaming) return null;
  const levelNsPerKm = standings.level[i]! * Math.exp(beside);
  return {
    phase: phaseNames[high]!,
    levelNsPerKm,
    growthPctPerYr: standings.worstPhase[i] === high ? standings.worstPhaseGrowth[i]! : null,
    aboveLimit: levelNsPerKm > standings.limit[i]!,
  };
}
