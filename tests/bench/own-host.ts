import { spawn } from 'node:child_process';
import { join } from 'node:path';
import { createInterface } from 'node:readline';

const start = join(import.meta.dirname, '../../electron/start.ts');

/** A host as a person runs it: a process of its own, so that what measures takes none of its time. */
export class OwnHost {
  readonly #host;
  readonly #gone: Promise<unknown>;
  readonly #links: string[] = [];
  #ended = false;
  #wake: () => void = () => {};

  /** Opens the fleet; what it remembers goes into a folder of its own. */
  constructor(fleet: string, stateFolder: string) {
    this.#host = spawn(process.execPath, [start, '--fleet', fleet, '--no-open'], {
      env: { ...process.env, YEARBOOK_STATE: stateFolder },
      stdio: ['ignore', 'pipe', 'pipe'],
    });
    for (const input of [this.#host.stdout, this.#host.stderr])
      createInterface({ input }).on('line', (said) => {
        const [link] = /http:\/\/127\.0\.0\.1:\d+\/\S+/.exec(said) ?? [];
        if (link !== undefined) this.#links.push(link);
        else console.error(said);
        this.#wake();
      });
    this.#gone = new Promise<void>((resolve) => {
      this.#host.on('close', () => {
        this.#ended = true;
        this.#wake();
        resolve();
      });
    });
  }

  /** An address that lets one browser in; the next one is there once it came in. Throws where the host ended. */
  async link(): Promise<string> {
    for (;;) {
      const link = this.#links.shift();
      if (link !== undefined) return link;
      if (this.#ended) throw new Error('The host ended without an address.');
      await new Promise<void>((wake) => {
        this.#wake = wake;
      });
    }
  }

  async close(): Promise<void> {
    this.#host.kill('SIGTERM');
    await this.#gone;
  }
}
