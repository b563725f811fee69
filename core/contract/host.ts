import { z } from 'zod';
import { ask } from './ask.ts';
import type { Problem, Reply } from './problem.ts';
import { MadeFile } from './shapes/known.ts';

/** What only a host can do: which fleet is open, dialogs, recent fleets. Both hosts answer the same table. */
export const OpenFleet = z.object({
  file: z.string(),
  /** The file's name without its ending. */
  name: z.string(),
  readOnly: z.boolean(),
  /** Why it is read-only, where the person did not ask for that. */
  because: z.string().nullable(),
});
export type OpenFleet = z.infer<typeof OpenFleet>;

export const RecentFleet = z.object({ file: z.string(), name: z.string(), openedAt: z.string() });
export type RecentFleet = z.infer<typeof RecentFleet>;

export const HostState = z.object({
  kind: z.enum(['window', 'browser']),
  version: z.string(),
  fleet: OpenFleet.nullable(),
  recent: z.array(RecentFleet),
});
export type HostState = z.infer<typeof HostState>;

/** A name a person gives a file: no folders in it. */
const plainName = z
  .string()
  .trim()
  .min(1)
  .max(120)
  .regex(/^[^\\/:*?"<>|]+$/, 'a name without \\ / : * ? " < > |')
  .refine((name) => !/^\.+$/.test(name) && !name.includes('\0'), 'a name, not dots');

const FileKind = z.strictObject({ name: z.string(), extensions: z.array(z.string().regex(/^[a-z0-9]+$/)) });

/** `null` in an answer means that the person closed the dialog. */
export const hostAsks = {
  'host.state': ask({ kind: 'read', help: 'Which fleet is open.', input: z.strictObject({}), output: HostState }),
  'host.openFleet': ask({
    kind: 'write',
    help: 'Opens a recent, picked or dropped fleet file; without one, asks by dialog.',
    input: z.strictObject({ file: z.string().nullable(), readOnly: z.boolean().default(false) }),
    output: HostState.nullable(),
  }),
  'host.newFleet': ask({
    kind: 'write',
    help: 'Makes an empty fleet and opens it.',
    input: z.strictObject({ name: plainName }),
    output: HostState.nullable(),
  }),
  'host.openDemo': ask({
    kind: 'write',
    help: 'Makes the invented utility and opens it.',
    input: z.strictObject({ segments: z.number().int().min(20).max(1_000_000).default(600) }),
    output: HostState,
  }),
  'host.closeFleet': ask({ kind: 'write', help: 'Closes the fleet.', input: z.strictObject({}), output: HostState }),
  'host.forgetFleet': ask({
    kind: 'write',
    help: 'Takes a fleet off the list of recent ones; the file stays.',
    input: z.strictObject({ file: z.string() }),
    output: HostState,
  }),
  'host.pickFiles': ask({
    kind: 'read',
    help: 'Asks for files to read.',
    input: z.strictObject({ kinds: z.array(FileKind).default([]), many: z.boolean().default(true) }),
    output: z.object({ paths: z.array(z.string()) }),
  }),
  'host.pickFolder': ask({
    kind: 'read',
    help: 'Asks for a folder to read.',
    input: z.strictObject({}),
    output: z.object({ paths: z.array(z.string()) }),
  }),
  'host.saveFile': ask({
    kind: 'read',
    help: 'Asks where to write a file or a folder; the path may then be given to an ask.',
    input: z.strictObject({ name: plainName, as: z.enum(['file', 'folder']).default('file') }),
    output: z.object({ path: z.string() }).nullable(),
  }),
  'host.keepFile': ask({
    kind: 'read',
    help: 'Asks where to write a file that core made, and writes it.',
    input: MadeFile,
    output: z.object({ path: z.string() }).nullable(),
  }),
} as const;

export type HostAskName = keyof typeof hostAsks;
export type HostInputOf<N extends HostAskName> = z.input<(typeof hostAsks)[N]['input']>;
export type HostParsedInputOf<N extends HostAskName> = z.output<(typeof hostAsks)[N]['input']>;
export type HostOutputOf<N extends HostAskName> = z.output<(typeof hostAsks)[N]['output']>;

/** What a host says unasked. */
export type HostEvent =
  | { readonly kind: 'changed'; readonly revision: number }
  | { readonly kind: 'fleet'; readonly state: HostState }
  | { readonly kind: 'menu'; readonly word: MenuWord }
  | { readonly kind: 'dropped'; readonly paths: readonly string[] };

/** Words of the window's menu that the page acts on. */
export type MenuWord =
  | 'new'
  | 'open'
  | 'open-read-only'
  | 'demo'
  | 'import'
  | 'find'
  | 'undo'
  | 'redo'
  | 'shortcuts'
  | `place:${string}`;

/** Where long work stands. `total` is 0 where unknown. */
export interface Progress {
  readonly done: number;
  readonly total: number;
  readonly words: string;
}

/** What the window's preload gives the page as `window.yearbook`: one function to ask, and what a page can't do alone. */
export interface Bridge {
  ask(name: string, input: unknown, id: string, onProgress?: (progress: Progress) => void): Promise<Reply<unknown>>;
  cancel(id: string): void;
  /** The path of a file that was dropped or picked; the host then lets asks read it. */
  pathOf(file: unknown): Promise<string>;
  onEvent(listener: (event: HostEvent) => void): () => void;
}

/** A line of the loopback host's answer to an ask: progress as often as it comes, then one reply. */
export type AnswerLine = { readonly progress: Progress } | { readonly reply: Reply<unknown> };

export type { Problem };
