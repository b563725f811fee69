import { ask, host } from '../../client/index.ts';
import { asProblem } from '../../parts/asProblem.ts';
import { say } from '../../parts/toast.ts';
import { count } from '../../words/numbers.ts';
import { took } from '../hostState.ts';
import { go } from '../route.ts';

/** What can be done with a fleet as a whole. Each says what came of it at the foot of the window. */
async function spoken(act: () => Promise<string | null>): Promise<void> {
  try {
    const words = await act();
    if (words !== null) say(words);
  } catch (error) {
    say(asProblem(error).message);
  }
}

export const openFleet = (file: string | null, readOnly: boolean): Promise<void> =>
  spoken(async () => {
    const state = await host.openFleet(file, readOnly);
    if (state === null) return null;
    took(state);
    go('fleet');
    return null;
  });

/** Throws what was refused: its form says it. */
export async function newFleet(name: string): Promise<void> {
  const state = await host.newFleet(name);
  if (state === null) return;
  took(state);
  go('import');
}

export const openDemo = (): Promise<void> =>
  spoken(async () => {
    took(await host.openDemo());
    go('fleet');
    return null;
  });

export const closeFleet = (): Promise<void> =>
  spoken(async () => {
    took(await host.closeFleet());
    return null;
  });

const fileName = async (): Promise<string> => (await host.state()).fleet?.name ?? 'fleet';

export const exportFolder = (): Promise<void> =>
  spoken(async () => {
    const saving = await host.saveFile(await fileName(), 'folder');
    if (saving === null) return null;
    const made = await ask('fleet.export', { out: saving.path });
    await saving.done();
    return `Exported ${count(made.files.length, 'file')}. ${made.leftOut}`;
  });

export const backUp = (): Promise<void> =>
  spoken(async () => {
    const saving = await host.saveFile(`${await fileName()}-copy.fleet`);
    if (saving === null) return null;
    await ask('fleet.backup', { out: saving.path });
    await saving.done();
    return 'A consistent copy is written.';
  });
