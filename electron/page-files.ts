import { readdirSync, readFileSync } from 'node:fs';
import { extname, join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { mediaTypeOf } from './page-rules.ts';

export interface PageFile {
  readonly body: Buffer;
  /** Null where packing gains nothing. */
  readonly gzip: Buffer | null;
  readonly type: string;
  /** Its name holds a hash of its content: it never changes. */
  readonly lasting: boolean;
}

/** Files under this are sent as they are. */
const gzipFromBytes = 1_400;
const packed = new Set(['.png', '.woff2', '.ico']);

/**
 * The built page, by URL path. Only names found in the folder when it was opened are served,
 * so no path of a request ever reaches the disk.
 */
export class PageFiles {
  readonly #folder: string;
  readonly #names: ReadonlySet<string>;
  readonly #read = new Map<string, PageFile>();

  constructor(folder: string) {
    this.#folder = folder;
    const entries = readdirSync(folder, { recursive: true, withFileTypes: true });
    this.#names = new Set(
      entries
        .filter((entry) => entry.isFile())
        .map((entry) => join(entry.parentPath, entry.name).slice(folder.length).replaceAll('\\', '/')),
    );
  }

  /** The file of a URL path ('/' is the page itself), or undefined. */
  get(urlPath: string): PageFile | undefined {
    const name = urlPath === '/' ? '/index.html' : decoded(urlPath);
    if (name === undefined || !this.#names.has(name)) return undefined;
    let file = this.#read.get(name);
    if (!file) {
      const body = readFileSync(join(this.#folder, name));
      const ending = extname(name);
      const pack = body.length >= gzipFromBytes && !packed.has(ending);
      file = {
        body,
        gzip: pack ? gzipSync(body) : null,
        type: mediaTypeOf(ending),
        lasting: name.startsWith('/assets/'),
      };
      this.#read.set(name, file);
    }
    return file;
  }
}

function decoded(path: string): string | undefined {
  try {
    return decodeURIComponent(path);
  } catch {
    return undefined;
  }
}
