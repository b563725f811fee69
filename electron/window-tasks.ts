import { existsSync, writeFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { type BrowserWindow, dialog } from 'electron';
import { refuse } from '../core/contract/problem.ts';
import type { HostTasks } from './carry.ts';
import type { Grants } from './paths.ts';
import { fleetEnding, openDemo, type Shelf } from './shelf.ts';

const fleetFiles = [{ name: 'Fleet', extensions: ['fleet'] }];

/** What the window's host does itself: native dialogs. A path a person chose is granted to later asks. */
export function windowTasks(shelf: Shelf, grants: Grants, window: () => BrowserWindow): HostTasks {
  const openFrom = async (properties: ('openFile' | 'openDirectory' | 'multiSelections')[], filters = fleetFiles) => {
    const { filePaths } = await dialog.showOpenDialog(window(), { properties, filters });
    return filePaths.map((path) => grants.grant(path, 'in'));
  };
  const saveTo = async (name: string) => {
    const { filePath } = await dialog.showSaveDialog(window(), { defaultPath: name });
    return filePath ? { path: grants.grant(filePath, 'out') } : null;
  };
  return {
    'host.state': () => shelf.state(),
    async 'host.openFleet'({ file, readOnly }) {
      const chosen = file ?? (await openFrom(['openFile']))[0];
      if (chosen === undefined) return null;
      const isRecent = shelf.recent().some((fleet) => fleet.file === resolve(chosen));
      return shelf.open(isRecent ? chosen : grants.check(chosen, 'in'), { readOnly });
    },
    async 'host.newFleet'({ name }) {
      const place = await saveTo(name.endsWith(fleetEnding) ? name : `${name}${fleetEnding}`);
      if (place === null) return null;
      if (existsSync(place.path))
        throw refuse('not-allowed', 'There is a file of this name already. Open it, or choose another name.', {
          where: place.path,
        });
      return shelf.open(place.path, { create: true });
    },
    'host.openDemo': ({ segments }, { onProgress }) => openDemo(shelf, segments, onProgress),
    'host.closeFleet': () => shelf.close(),
    'host.forgetFleet': ({ file }) => shelf.forget(file),
    'host.pickFiles': async ({ kinds, many }) => ({
      paths: await openFrom(many ? ['openFile', 'multiSelections'] : ['openFile'], kinds),
    }),
    'host.pickFolder': async () => ({ paths: await openFrom(['openDirectory'], []) }),
    'host.saveFile': ({ name }) => saveTo(name),
    async 'host.keepFile'({ name, encoding, content }) {
      const place = await saveTo(name);
      if (place) writeFileSync(place.path, Buffer.from(content, encoding));
      return place;
    },
  };
}
