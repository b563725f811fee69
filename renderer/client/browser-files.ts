import type { MadeFile } from '../../core/contract/shapes/known.ts';

/** A file with its place below what was picked: `fleet-folder/tests.csv`. */
export interface PlacedFile {
  readonly file: File;
  readonly place: string;
}

/** Asks by the browser's own picker; [] where it was closed. */
export function filesFromInput(options: { accept: string; many: boolean; folder: boolean }): Promise<PlacedFile[]> {
  const input = document.createElement('input');
  input.type = 'file';
  input.accept = options.accept;
  input.multiple = options.many;
  input.webkitdirectory = options.folder;
  input.hidden = true;
  document.body.append(input);
  return new Promise((resolve) => {
    const finish = () => {
      input.remove();
      resolve([...(input.files ?? [])].map((file) => ({ file, place: file.webkitRelativePath || file.name })));
    };
    input.addEventListener('change', finish, { once: true });
    input.addEventListener('cancel', finish, { once: true });
    input.click();
  });
}

/** Files and folders that were dropped. The entries are taken before the first wait: a browser empties them after. */
export async function entriesOf(transfer: DataTransfer): Promise<PlacedFile[]> {
  const taken = [...transfer.items]
    .filter((item) => item.kind === 'file')
    .map((item) => ({ entry: item.webkitGetAsEntry(), file: item.getAsFile() }));
  const placed = taken.map(({ entry, file }) =>
    // What comes from another page, and not from the disk, has no entry.
    entry ? below(entry, '') : file ? [{ file, place: file.name }] : [],
  );
  return (await Promise.all(placed)).flat();
}

async function below(entry: FileSystemEntry, above: string): Promise<PlacedFile[]> {
  const place = above + entry.name;
  if (entry.isFile) {
    const file = await new Promise<File>((resolve, reject) => (entry as FileSystemFileEntry).file(resolve, reject));
    return [{ file, place }];
  }
  const reader = (entry as FileSystemDirectoryEntry).createReader();
  const found: PlacedFile[] = [];
  for (;;) {
    // A reader gives at most a hundred entries at a time, then an empty list.
    const some = await new Promise<FileSystemEntry[]>((resolve, reject) => reader.readEntries(resolve, reject));
    if (some.length === 0) return found;
    for (const child of some) found.push(...(await below(child, `${place}/`)));
  }
}

/** Hands files to the host; gives the names under which asks may read them: one a file, or one for a whole folder. */
export async function uploadAll(files: readonly PlacedFile[]): Promise<string[]> {
  const batch = crypto.randomUUID();
  const tops = new Set<string>();
  for (const { file, place } of files) {
    const path = place.split('/').map(encodeURIComponent).join('/');
    const response = await fetch(`/stage/${batch}/${path}`, { method: 'POST', body: file });
    if (!response.ok) throw new Error(`${place}: ${await response.text()}`);
    tops.add(`staged:${batch}/${place.split('/')[0]}`);
  }
  return [...tops];
}

/** Downloads what an ask wrote to a place of the host; a folder comes as a ZIP. */
export function downloadFrom(path: string): void {
  click(
    `/made/${path
      .replace(/^made:/, '')
      .split('/')
      .map(encodeURIComponent)
      .join('/')}`,
    '',
  );
}

/** Downloads a file that came as content. */
export function downloadMade(file: MadeFile): true {
  const bytes =
    file.encoding === 'utf8'
      ? new TextEncoder().encode(file.content)
      : Uint8Array.from(atob(file.content), (letter) => letter.charCodeAt(0));
  const url = URL.createObjectURL(new Blob([bytes], { type: file.mediaType }));
  click(url, file.name);
  setTimeout(() => URL.revokeObjectURL(url), 60_000);
  return true;
}

function click(href: string, name: string): void {
  const link = document.createElement('a');
  link.href = href;
  link.download = name;
  link.click();
}
