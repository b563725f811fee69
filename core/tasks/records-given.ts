import { newSha256 } from '../evidence/canonical.ts';

/** A file as it came: on disk by itself, or inside a ZIP. */
export interface GivenFile {
  /** Where it lies: its path; for a file in a ZIP the ZIP's path, a slash and its name inside. */
  readonly path: string;
  /** Its name without the folder. */
  readonly name: string;
  readonly bytes: Uint8Array;
}

export interface UngivenFile {
  readonly path: string;
  readonly name: string;
  readonly because: string;
}

/** SHA-256 in hexadecimal: what a file is known by. */
export const keyOf = (bytes: Uint8Array): string => newSha256().update(bytes).digest('hex');
