import { unzipSync } from 'fflate';
import { isZip } from './bytes.ts';

/** Bounds on what a ZIP may hold: a stick of a day's tests is far below them, a bomb far above. */
export const zipBounds = { entries: 500, entryBytes: 64 << 20, totalBytes: 256 << 20 } as const;

export type Unpacked =
  | { readonly files: readonly { readonly name: string; readonly bytes: Uint8Array }[] }
  | { readonly because: string };

/** The files inside a ZIP, in its order. Declared sizes are checked before a byte is unpacked, real ones while unpacking. */
export const unpackZip = (bytes: Uint8Array): Unpacked => {
  let entries = 0;
  let total = 0;
  let because: string | null = null;
  try {
    const found = unzipSync(bytes, {
      filter: (file) => {
        if (because !== null) return false;
        entries++;
        total += file.originalSize;
        if (entries > zipBounds.entries) because = `the ZIP holds more than ${zipBounds.entries} files`;
        else if (file.originalSize > zipBounds.entryBytes) because = 'a file in the ZIP is larger than 64 MB';
        else if (total > zipBounds.totalBytes) because = 'the files in the ZIP are larger than 256 MB';
        return because === null && !file.name.endsWith('/') && !isHidden(file.name);
      },
    });
    if (because !== null) return { because };
    const files = Object.entries(found).map(([name, content]) => ({ name, bytes: content }));
    return files.length === 0 ? { because: 'the ZIP holds no files' } : { files };
  } catch {
    return { because: 'the ZIP is damaged or cut short' };
  }
};

/** What operating systems leave in archives. */
const isHidden = (name: string): boolean => /(?:^|\/)(?:\.|__MACOSX\/|Thumbs\.db$)/.test(name);

/** 'workbook', 'files', or null where the bytes are no ZIP. */
export const zipKind = (bytes: Uint8Array): 'workbook' | 'files' | null => {
  if (!isZip(bytes)) return null;
  let workbook = false;
  try {
    unzipSync(bytes, {
      filter: (file) => {
        if (file.name === 'xl/workbook.xml') workbook = true;
        return false;
      },
    });
  } catch {
    return 'files';
  }
  return workbook ? 'workbook' : 'files';
};
