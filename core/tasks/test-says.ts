import type { TestRow } from '../contract/asks/segment.ts';

/** Phases whose specific leakage differs by this factor stand apart (from memory, unverified; a setting of the owner's). */
const phasesApart = 3;
/** Beyond this many standard deviations an event is far from what the rest of the segment says. */
const farSd = 3;
const someSd = 2;

/** A level so many times that of the test before is said as such, whatever the fit makes of it. */
const steep = 2;

/** What one test says beside the one before it, in a few words: the first of what matters most. */
export function testSays(row: Omit<TestRow, 'says'>, before: Omit<TestRow, 'says'> | null): string {
  const broke = row.readings.find((reading) => reading.outcome === 'breakdown');
  if (broke) return `breakdown of phase ${broke.phase} at ${broke.voltageKv} kV`;
  const stopped = row.readings.find((reading) => reading.outcome === 'stopped');
  if (stopped) return `stopped early, phase ${stopped.phase}`;
  const used = row.readings.filter((reading) => reading.nsPerKmAt20C !== null);
  if (used.length === 0) return row.readings[0]?.useBecause ?? 'not used';
  const repaired = row.readings.find((reading) => reading.use.startsWith('repaired'));
  if (repaired) return `phase ${repaired.phase} looks like a slip of units, ${repaired.use}`;
  if (row.surpriseSd !== null && row.surpriseSd > farSd) return 'far above what the rest says';
  if (row.surpriseSd !== null && row.surpriseSd < -farSd) return 'far below what the rest says';
  const apart = phaseApart(used);
  const times = before?.nsPerKmAt20C && row.nsPerKmAt20C ? row.nsPerKmAt20C / before.nsPerKmAt20C : 1;
  if (times >= steep) return `${times.toFixed(1)}\u00a0× the test before${apart ? `; ${apart}` : ''}`;
  if (apart) return apart;
  if (row.surpriseSd !== null && row.surpriseSd > someSd) return 'above expected';
  if (row.surpriseSd !== null && row.surpriseSd < -someSd) return 'below expected';
  if (row.readings.every((reading) => reading.belowFloor)) return 'below the instrument’s floor';
  return 'as expected';
}

function phaseApart(used: readonly TestRow['readings'][number][]): string | null {
  if (used.length < 2) return null;
  const sorted = [...used].sort((a, b) => a.nsPerKmAt20C! - b.nsPerKmAt20C!);
  const ratio = sorted.at(-1)!.nsPerKmAt20C! / sorted[0]!.nsPerKmAt20C!;
  if (ratio < phasesApart) return null;
  return `phase ${sorted.at(-1)!.phase} apart, ${ratio.toFixed(1)}\u00a0×`;
}
