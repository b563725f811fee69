import type { AskName, OutputOf, ParsedInputOf } from '../contract/asks/index.ts';
import type { Desk } from './desk.ts';

/** Does one ask: fetch, decide, write. Input is already checked. */
export type Task<N extends AskName> = (desk: Desk, input: ParsedInputOf<N>) => OutputOf<N> | Promise<OutputOf<N>>;

/** The tasks of one family of asks. */
export type TasksOf<Names extends AskName> = { readonly [N in Names]: Task<N> };
