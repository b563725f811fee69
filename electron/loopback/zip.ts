import { createReadStream, readdirSync } from 'node:fs';
import { join, relative, sep } from 'node:path';
import { PassThrough, type Readable } from 'node:stream';
import { Zip, ZipDeflate } from 'fflate';

/** A folder as a ZIP file, read and packed as it is taken. */
export function zipOf(folder: string): Readable {
  const out = new PassThrough();
  const zip = new Zip((error, chunk, last) => {
    if (error) out.destroy(error);
    else out.write(chunk);
    if (last) out.end();
  });
  void pack(folder, zip, out).catch((error: Error) => out.destroy(error));
  return out;
}

/** Until more can be written, or nobody reads any longer. */
const roomIn = (out: PassThrough) =>
  new Promise<void>((resolve) => {
    const go = () => {
      out.off('drain', go).off('close', go);
      resolve();
    };
    out.on('drain', go).on('close', go);
  });

async function pack(folder: string, zip: Zip, out: PassThrough): Promise<void> {
  const files = readdirSync(folder, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile())
    .map((entry) => join(entry.parentPath, entry.name))
    .sort();
  for (const file of files) {
    const entry = new ZipDeflate(relative(folder, file).replaceAll(sep, '/'), { level: 6 });
    zip.add(entry);
    for await (const chunk of createReadStream(file)) {
      entry.push(chunk as Uint8Array, false);
      if (out.writableNeedDrain) await roomIn(out);
      if (out.destroyed) return;
    }
    entry.push(new Uint8Array(0), true);
  }
  zip.end();
}
