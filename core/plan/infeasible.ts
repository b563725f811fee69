import type { PlanInputs } from './inputs.ts';
import type { Problem } from './problem.ts';
import { type Solver, shortfall } from './solver.ts';

/** Why the wishes cannot all be granted: the constraint, how much is missing, and whom it concerns. */
export interface Conflict {
  readonly constraint: 'budget' | 'crew-km' | 'years';
  /** Calendar year; null for a segment that has no year or action left. */
  readonly year: number | null;
  /** Currency for a budget, kilometres for crews, null for 'years'. */
  readonly shortBy: number | null;
  /** Ordinals of the segments that must be done there. */
  readonly segments: readonly number[];
  readonly message: string;
}

/** Names the constraints that stand against the musts and pins. Empty where nothing could be proven against them. */
export function conflicts(solver: Solver, inputs: PlanInputs, p: Problem, timeLimitS: number): Conflict[] {
  const ordinal = (c: number) => inputs.segments.ordinal[p.row[c]!]!;
  const barred = [...p.must.keys()].filter((c) => p.must[c] && p.start[c] === p.start[c + 1]);
  if (barred.length > 0) {
    return barred.map((c) => ({
      constraint: 'years',
      year: null,
      shortBy: null,
      segments: [ordinal(c)],
      message: 'A segment must be done, but its other wishes leave it no year or no action that can be done on it.',
    }));
  }
  const keep = new Uint8Array(p.value.length);
  for (let o = 0; o < keep.length; o++) keep[o] = p.must[p.optionCandidate[o]!]!;
  const missing = shortfall(solver, p, keep, timeLimitS);
  if (!missing) return [];
  const found: Conflict[] = [];
  for (let y = 0; y < p.years; y++) {
    const year = inputs.startYear + y;
    const segments = [...p.must.keys()]
      .filter((c) => missing.choice[c]! >= 0 && p.optionYear[missing.choice[c]!] === y)
      .map(ordinal);
    if (missing.cents[y]! > 0) {
      const shortBy = missing.cents[y]! / 100;
      found.push({
        constraint: 'budget',
        year,
        shortBy,
        segments,
        message: `Work that must be done exceeds the budget of ${year}, with what is carried into it, by ${shortBy.toFixed(2)}.`,
      });
    }
    if (missing.crewM[y]! > 0) {
      const shortBy = missing.crewM[y]! / 1000;
      found.push({
        constraint: 'crew-km',
        year,
        shortBy,
        segments,
        message: `Work that must be done exceeds the crew kilometres of ${year} by ${shortBy.toFixed(3)} km.`,
      });
    }
  }
  return found;
}
