import type { Problem } from '../../core/contract/problem.ts';
import { ProblemError } from '../client/problem.ts';

/** Whatever was thrown, in the one shape of a problem. */
export function asProblem(error: unknown): Problem {
  if (error instanceof ProblemError) return error.problem;
  return { code: 'fault', message: error instanceof Error ? error.message : String(error) };
}
