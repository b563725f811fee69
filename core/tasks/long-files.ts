import { closeSync, openSync, readSync } from 'node:fs';
import { newSha256 } from '../evidence/canonical.ts';

/** Read at once. A file of a bag may be larger than what can be held: Node refuses to read 2 GiB whole. */
const stretchBytes = 1 << 20;

/** The stretches of a file one after another, each in the same buffer; `checkStop` is asked before each. */
function* stretches(file: string, checkStop: () => void): Generator<Buffer> {
  const buffer = Buffer.allocUnsafe(stretchBytes);
  const fd = openSync(file, 'r');
  try {
    for (;;) {
      checkStop();
      const bytes = readSync(fd, buffer);
      if (bytes === 0) return;
      yield buffer.subarray(0, bytes);
    }
  } finally {
    closeSync(fd);
  }
}

/** SHA-256 in hexadecimal and the length of a file of any size. */
export function weighFile(file: string, checkStop: () => void): { readonly sha256: string; readonly bytes: number } {
  const hash = newSha256();
  let bytes = 0;
  for (const stretch of stretches(file, checkStop)) {
    hash.update(stretch);
    bytes += stretch.length;
  }
  return { sha256: hash.digest('hex'), bytes };
}

/** The lines of a UTF-8 text of any size that are not empty. */
export function* linesOfFile(file: string, checkStop: () => void): Generator<string> {
  const decoder = new TextDecoder();
  let rest = '';
  for (const stretch of stretches(file, checkStop)) {
    const lines = (rest + decoder.decode(stretch, { stream: true })).split('\n');
    rest = lines.pop()!;
    for (const line of lines) if (line !== '') yield line;
  }
  rest += decoder.decode();
  if (rest !== '') yield rest;
}
