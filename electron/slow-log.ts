import { appendFileSync, mkdirSync, renameSync, statSync } from 'node:fs';
import { join } from 'node:path';

/** Beyond this size the log begins anew; the one before is kept. */
const maxBytes = 1_000_000;

/** Notes asks that took long, by name and milliseconds only: never what was asked. */
export function slowLog(folder: string): (name: string, ms: number) => void {
  const file = join(folder, 'slow-asks.log');
  return (name, ms) => {
    try {
      mkdirSync(folder, { recursive: true });
      if ((statSync(file, { throwIfNoEntry: false })?.size ?? 0) > maxBytes) renameSync(file, `${file}.before`);
      appendFileSync(file, `${new Date().toISOString()} ${name} ${Math.round(ms)} ms\n`);
    } catch {
      // A disk that is full or forbids it must not cost the answer.
    }
  };
}
