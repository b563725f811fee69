import type { Problem, ProblemCode } from '../../core/contract/problem.ts';

/** What `ask` throws: the problem as core or the host put it. */
export class ProblemError extends Error {
  readonly problem: Problem;
  constructor(problem: Problem) {
    super(problem.message);
    this.name = 'ProblemError';
    this.problem = problem;
  }
  get code(): ProblemCode {
    return this.problem.code;
  }
}
