import type { z } from 'zod';

/** What of a long answer is printed. */
export interface CommandPrint {
  /** Rows of a list that are printed; the others are counted. */
  readonly rows?: number;
  /** The option that writes all rows: 'csv'. */
  readonly allBy?: string;
  /** Fields for programs, at any depth; those of one part alone as 'part.field'. */
  readonly hides?: readonly string[];
  /** What fields are called where their own names say too little. */
  readonly names?: Readonly<Record<string, string>>;
}

/** How an ask appears on the command line. Options follow from its input: `asOf` becomes `--as-of`. */
export interface CommandSpec {
  /** The word after `yearbook`. */
  readonly word: string;
  /** Input fields taken by position, in order; the last may be a list. */
  readonly positional?: readonly string[];
  /** `fleet` needs --fleet and an existing file, `new` makes it when missing, `none` needs no fleet. */
  readonly opens: 'fleet' | 'new' | 'none';
  /** A yes-or-no field of the output, or of each row of a list; where it says no throughout, the command ends with exit code 1. */
  readonly holds?: string;
  /** How its answer is printed for people; --json has all of it. */
  readonly prints?: CommandPrint;
}

export interface Ask<I extends z.ZodType = z.ZodType, O extends z.ZodType = z.ZodType> {
  /** `write` goes to the one writer; `read` to the reader; `study` is a read that may take seconds and runs apart. */
  readonly kind: 'read' | 'write' | 'study';
  readonly input: I;
  readonly output: O;
  /** One sentence, shown by the command line and in the docs. */
  readonly help: string;
  readonly command?: CommandSpec;
}

export const ask = <I extends z.ZodType, O extends z.ZodType>(row: Ask<I, O>): Ask<I, O> => row;

/** Marks of input fields that name a place on disk. Hosts check them: the loopback host serves only what it staged itself. */
export interface PathMark {
  readonly path: 'in' | 'out';
}

/** A file made by core, carried as text or base64. */
export interface MadeFile {
  readonly name: string;
  readonly mediaType: string;
  readonly encoding: 'utf8' | 'base64';
  readonly content: string;
}
