/** Why an ask was refused. One shape everywhere: core, hosts, command line, window. */
export const problemCodes = [
  'bad-input',
  'not-found',
  'not-allowed',
  'moved-on',
  'in-use',
  'read-only',
  'newer-file',
  'foreign-file',
  'broken-file',
  'cancelled',
  'not-ready',
  'too-few',
  'infeasible',
  'disk',
  'fault',
] as const;
export type ProblemCode = (typeof problemCodes)[number];

export interface Problem {
  readonly code: ProblemCode;
  /** A sentence for the person: what happened and what would be right. */
  readonly message: string;
  /** File, line, column, field: where to look. */
  readonly where?: string;
  /** More of the same kind, one a line. */
  readonly details?: readonly string[];
}

export type Reply<T> = { readonly ok: true; readonly value: T } | { readonly ok: false; readonly problem: Problem };

/** The one way to fail on purpose inside core; `send` turns it into the problem it carries. */
export class Refusal extends Error {
  readonly problem: Problem;
  constructor(problem: Problem) {
    super(problem.message);
    this.name = 'Refusal';
    this.problem = problem;
  }
}

export const refuse = (
  code: ProblemCode,
  message: string,
  more: { where?: string; details?: readonly string[] } = {},
) => new Refusal({ code, message, ...more });
