import type { Bridge, HostAskName, HostInputOf, HostOutputOf, HostState } from '../../core/contract/host.ts';
import type { MadeFile } from '../../core/contract/shapes/known.ts';
import { downloadFrom, downloadMade, entriesOf, filesFromInput, uploadAll } from './browser-files.ts';

export type AskHost = <N extends HostAskName>(name: N, input: HostInputOf<N>) => Promise<HostOutputOf<N>>;

/** A place that an ask may write to. */
export interface Saving {
  /** Give this to the ask. */
  readonly path: string;
  /** Call it once the ask has written. */
  done(): Promise<void>;
}

/** Files and folders, each host in its own way. */
export interface Files {
  openFleet(file: string | null, readOnly: boolean): Promise<HostState | null>;
  pickFiles(options: HostInputOf<'host.pickFiles'>): Promise<readonly string[]>;
  pickFolder(): Promise<readonly string[]>;
  dropped(transfer: DataTransfer): Promise<readonly string[]>;
  saveFile(name: string, as: 'file' | 'folder'): Promise<Saving | null>;
  keepFile(file: MadeFile): Promise<boolean>;
}

/** Native dialogs, and paths of dropped files through the preload. */
export const windowFiles = (bridge: Bridge, askHost: AskHost): Files => ({
  openFleet: (file, readOnly) => askHost('host.openFleet', { file, readOnly }),
  pickFiles: async (options) => (await askHost('host.pickFiles', options)).paths,
  pickFolder: async () => (await askHost('host.pickFolder', {})).paths,
  dropped: (transfer) => Promise.all([...transfer.files].map((file) => bridge.pathOf(file))),
  async saveFile(name, as) {
    const place = await askHost('host.saveFile', { name, as });
    return place && { path: place.path, done: async () => {} };
  },
  keepFile: async (file) => (await askHost('host.keepFile', file)) !== null,
});

/** The browser's own pickers and downloads: what is picked is staged with the host first. */
export const browserFiles = (askHost: AskHost): Files => ({
  async openFleet(file, readOnly) {
    if (file !== null) return askHost('host.openFleet', { file, readOnly });
    const [picked] = await uploadAll(await filesFromInput({ accept: '.fleet', many: false, folder: false }));
    return picked === undefined ? null : askHost('host.openFleet', { file: picked, readOnly });
  },
  pickFiles: async ({ kinds = [], many = true }) => {
    const accept = kinds.flatMap((kind) => kind.extensions.map((extension) => `.${extension}`)).join(',');
    return uploadAll(await filesFromInput({ accept, many, folder: false }));
  },
  pickFolder: async () => uploadAll(await filesFromInput({ accept: '', many: true, folder: true })),
  dropped: async (transfer) => uploadAll(await entriesOf(transfer)),
  async saveFile(name, as) {
    const place = await askHost('host.saveFile', { name, as });
    return place && { path: place.path, done: async () => downloadFrom(place.path) };
  },
  keepFile: async (file) => downloadMade(file),
});
