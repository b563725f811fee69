import type { HighPhase } from '../contract/shapes/standing.ts';
import { readingsOfSegment } from '../store/segment.ts';
import type { Fleet } from '../store/sql.ts';
import type { Frame } from './frame.ts';
import { phaseNames } from './retest-expect.ts';
import type { Standings } from './standings.ts';

/** Surely: with 95 % probability, one-sided. */
const sureSds = 1.645;
/** A phase is worth naming where it surely stands at least a quarter above the mean of the three. */
const worthNaming = Math.log(1.25);

/**
 * The phase that surely stands above the mean of its segment's phases as of the day; null where none does. What stood
 * above before a repair may not any more, so the last test must show it too.
 */
export function highPhase(fleet: Fleet, frame: Frame, standings: Standings, i: number): HighPhase | null {
  if (standings.rank[i] === 0) return null;
  let high = 0;
  for (let phase = 1; phase < 3; phase++)
    if (standings.phaseLevel[3 * i + phase]! > standings.phaseLevel[3 * i + high]!) high = phase;
  const beside = standings.phaseLevel[3 * i + high]!;
  if (beside - sureSds * Math.sqrt(standings.phaseVariance[3 * i + high]!) < worthNaming) return null;
  if (!(aboveInLastTest(fleet, frame, standings, i, phaseNames[high]!) > worthNaming)) return null;
  const levelNsPerKm = standings.level[i]! * Math.exp(beside);
  return {
    phase: phaseNames[high]!,
    levelNsPerKm,
    growthPctPerYr: standings.worstPhase[i] === high ? standings.worstPhaseGrowth[i]! : null,
    aboveLimit: levelNsPerKm > standings.limit[i]!,
  };
}

/** ln of the phase's reading over the mean of all in the last test that has it; NaN where none has. */
function aboveInLastTest(fleet: Fleet, frame: Frame, standings: Standings, i: number, phase: string): number {
  const readings = readingsOfSegment(fleet, frame.rows[i]!.id, standings.asOf);
  const first = standings.firstReading[i]!;
  const log = (k: number) => Math.log(standings.readingAdjusted[first + k]!);
  const last = readings.findLastIndex((reading, k) => reading.phase === phase && !Number.isNaN(log(k)));
  if (last < 0) return Number.NaN;
  let sum = 0;
  let n = 0;
  readings.forEach(({ test_event_id }, k) => {
    if (test_event_id !== readings[last]!.test_event_id || Number.isNaN(log(k))) return;
    sum += log(k);
    n++;
  });
  return log(last) - sum / n;
}
