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
 * The built page, by URL path. It is read once, so that a page built anew meanwhile is not served half and half,
 * and no path of a request ever reaches the disk.
 */
export class PageFiles {
  readonly #bodies: ReadonlyMap<string, Buffer>;
  readonly #made = new Map<string, PageFile>();

  constructor(folder: string) {
    const entries = readdirSync(folder, { recursive: true, withFileTypes: true }).filter((entry) => entry.isFile());
    this.#bodies = new Map(
      entries.map((entry) => {
        const file = join(entry.parentPath, entry.name);
        return [file.slice(folder.length).replaceAll('\\', '/'), readFileSync(file)];
      }),
    );
  }

  /** The file of a URL path ('/' is the page itself), or undefined. */
  get(urlPath: string): PageFile | undefined {
    const name = urlPath === '/' ? '/index.html' : decoded(urlPath);
    const body = name === undefined ? undefined : this.#bodies.get(name);
    if (name === undefined || body === undefined) return undefined;
    const made = this.#made.get(name) ?? madeOf(name, body);
    this.#made.set(name, made);
    return made;
  }
}

function madeOf(name: string, body: Buffer): PageFile {
  const ending = extname(name);
  const pack = body.length >= gzipFromBytes && !packed.has(ending);
  return {
    body,
    gzip: pack ? gzipSync(body) : null,
    type: mediaTypeOf(ending),
    lasting: name.startsWith('/assets/'),
  };
}

function decoded(path: string): string | undefined {
  try {
    return decodeURIComponent(path);
  } catch {
    return undefined;
  }
}
