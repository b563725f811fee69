import { contextBridge, ipcRenderer, webUtils } from 'electron';
import type { Bridge, HostEvent, Progress } from '../core/contract/host.ts';

// Loaded before the page, sandboxed and apart from it. The page gets these functions and nothing else.
const listening = new Map<string, (progress: Progress) => void>();

ipcRenderer.on('progress', (_event, id: string, progress: Progress) => listening.get(id)?.(progress));

const bridge: Bridge = {
  ask(name, input, id, onProgress) {
    if (onProgress) listening.set(id, onProgress);
    return ipcRenderer.invoke('ask', name, input, id).finally(() => listening.delete(id));
  },
  cancel: (id) => ipcRenderer.send('cancel', id),
  // Only a file that the person dropped or picked has a path; a page can't make one up.
  pathOf: (file) => ipcRenderer.invoke('given', webUtils.getPathForFile(file as File)),
  onEvent(listener) {
    const hear = (_event: unknown, event: HostEvent) => listener(event);
    ipcRenderer.on('event', hear);
    return () => {
      ipcRenderer.off('event', hear);
    };
  },
};
contextBridge.exposeInMainWorld('yearbook', bridge);
