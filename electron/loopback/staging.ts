import { randomUUID } from 'node:crypto';
import { createWriteStream, existsSync, mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { Transform } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import { refuse } from '../../core/contract/problem.ts';
import type { OnPath } from '../paths.ts';

const uuid = /^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/;

/** A name that stays in its folder; Windows reads a colon as a drive or a stream. */
const isPlain = (name: string) =>
  name.length > 0 &&
  name.length <= 200 &&
  !/^\.+$/.test(name) &&
  !/[\\/\0]/.test(name) &&
  !(process.platform === 'win32' && name.includes(':'));

/**
 * Files that come from the browser and files that are made for it, in a folder of this process.
 * The page knows them only by names: `staged:BATCH/fleet-folder`, `made:ID/ranking.csv`.
 */
export class Staging {
  readonly folder = mkdtempSync(join(tmpdir(), 'cable-yearbook-'));
  readonly #batches = new Set<string>();
  readonly #made = new Set<string>();
  readonly #ownPath = new RegExp(
    `${JSON.stringify(this.folder)
      .slice(1, -1)
      .replace(/[\\^$.*+?()[\]{}|]/g, '\\$&')}(?:/|\\\\\\\\)(?:in|out)(?:/|\\\\\\\\)[0-9a-f-]{36}(?:/|\\\\\\\\)`,
    'g',
  );

  /** Writes an uploaded file; refuses one larger than `maxBytes`. */
  async take(
    batch: string,
    place: readonly string[],
    body: AsyncIterable<Uint8Array>,
    maxBytes: number,
  ): Promise<void> {
    if (!uuid.test(batch) || place.length === 0 || place.length > 12 || !place.every(isPlain))
      throw refuse('bad-input', 'This is not a place for a file.');
    const file = join(this.folder, 'in', batch, ...place);
    mkdirSync(dirname(file), { recursive: true });
    let bytes = 0;
    const counted = new Transform({
      transform(chunk: Uint8Array, _encoding, done) {
        bytes += chunk.length;
        done(bytes > maxBytes ? refuse('bad-input', `A file may have ${maxBytes} bytes at most.`) : null, chunk);
      },
    });
    try {
      await pipeline(body, counted, createWriteStream(file, { flags: 'wx' }));
    } catch (error) {
      // A file that was there before is not ours to remove.
      if ((error as NodeJS.ErrnoException).code !== 'EEXIST') rmSync(file, { force: true });
      throw error;
    }
    this.#batches.add(batch);
  }

  /** A name under which an ask may write. */
  makePlace(name: string): string {
    const id = randomUUID();
    mkdirSync(join(this.folder, 'out', id), { recursive: true });
    this.#made.add(`${id}/${name}`);
    return `made:${id}/${name}`;
  }

  /** The real path of what was made under `ID/NAME`, or undefined. */
  made(id: string, name: string): string | undefined {
    const file = join(this.folder, 'out', id, name);
    return this.#made.has(`${id}/${name}`) && existsSync(file) ? file : undefined;
  }

  /** The real path behind a name; any other path is refused 'not-allowed'. */
  readonly real: OnPath = (path, mark) => {
    const [scheme, rest = ''] = [path.slice(0, path.indexOf(':')), path.slice(path.indexOf(':') + 1)];
    const [id = '', ...place] = rest.split('/');
    if (mark === 'in' && scheme === 'staged' && this.#batches.has(id) && place.length > 0 && place.every(isPlain))
      return join(this.folder, 'in', id, ...place);
    if (mark === 'out' && scheme === 'made' && this.#made.has(rest)) return join(this.folder, 'out', id, ...place);
    throw refuse(
      'not-allowed',
      'This page may only read files that were given to it, and write files to be downloaded.',
      {
        where: path,
      },
    );
  };

  /** JSON text with the places of this folder cut down to the names a person knows. */
  plain = (json: string): string => json.replace(this.#ownPath, '');

  clear(): void {
    rmSync(this.folder, { recursive: true, force: true });
  }
}
