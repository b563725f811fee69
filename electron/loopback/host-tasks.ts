import { copyFileSync, rmSync } from 'node:fs';
import { basename, resolve } from 'node:path';
import { refuse } from '../../core/contract/problem.ts';
import type { HostTasks } from '../carry.ts';
import { nameOf, openDemo, type Shelf } from '../shelf.ts';
import type { Staging } from './staging.ts';

/** What the loopback host does itself. Pickers and downloads are the browser's. */
export function loopbackTasks(shelf: Shelf, staging: Staging, named: readonly string[]): HostTasks {
  const known = new Set(named.map((file) => resolve(file)));
  const browserPicks = () => refuse('not-allowed', 'The browser picks and keeps files itself.');
  return {
    'host.state': () => shelf.state(),
    async 'host.openFleet'({ file, readOnly }) {
      if (file === null) throw browserPicks();
      if (file.startsWith('staged:')) {
        const copy = shelf.freeFile(nameOf(basename(file)));
        const from = staging.real(file, 'in');
        try {
          copyFileSync(from, copy);
          return await shelf.open(copy, { readOnly });
        } catch (error) {
          // What cannot be opened is not kept among the fleets.
          rmSync(copy, { force: true });
          throw error;
        }
      }
      const whole = resolve(file);
      if (!known.has(whole) && !shelf.recent().some((fleet) => fleet.file === whole))
        throw refuse(
          'not-allowed',
          'Only a recent fleet, or one that was named at the start, can be opened from here.',
          {
            where: file,
          },
        );
      return shelf.open(whole, { readOnly });
    },
    'host.newFleet': ({ name }) => shelf.open(shelf.freeFile(nameOf(name)), { create: true }),
    'host.openDemo': ({ segments }, { onProgress }) => openDemo(shelf, segments, onProgress),
    'host.closeFleet': () => shelf.close(),
    'host.forgetFleet': ({ file }) => shelf.forget(file),
    'host.pickFiles': () => Promise.reject(browserPicks()),
    'host.pickFolder': () => Promise.reject(browserPicks()),
    'host.saveFile': ({ name }) => ({ path: staging.makePlace(name) }),
    'host.keepFile': () => Promise.reject(browserPicks()),
  };
}
