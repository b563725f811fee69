import type { SampleLayout } from './shapes.ts';

export type Decoded =
  | { readonly text: string; readonly encoding: SampleLayout['encoding'] }
  | { readonly because: string };

/** More than a day at five samples a second in the widest layout. */
const largestText = 64 << 20;

export const isZip = (bytes: Uint8Array): boolean =>
  bytes[0] === 0x50 && bytes[1] === 0x4b && bytes[2] === 3 && bytes[3] === 4;

/** Text of a file in UTF-8 or UTF-16, with or without a mark, else Windows-1252. Binary is refused. */
export const decodeText = (bytes: Uint8Array): Decoded => {
  if (bytes.length === 0) return { because: 'the file is empty' };
  if (bytes.length > largestText) return { because: 'the file is larger than 64 MB' };
  const encoding = encodingOf(bytes);
  if (encoding === null) return { because: 'the file is binary, not text' };
  const text = new TextDecoder(encoding).decode(bytes);
  if (text.trim() === '') return { because: 'the file holds no text' };
  let strange = 0;
  for (let i = 0; i < Math.min(text.length, 20_000); i++) {
    const code = text.charCodeAt(i);
    if ((code < 32 && code !== 9 && code !== 10 && code !== 13 && code !== 12 && code !== 26) || code === 0xfffd)
      strange++;
  }
  if (strange > 0.02 * Math.min(text.length, 20_000)) return { because: 'the file is binary, not text' };
  return { text, encoding };
};

const encodingOf = (bytes: Uint8Array): 'utf-8' | 'utf-16le' | 'utf-16be' | 'windows-1252' | null => {
  if (bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf) return 'utf-8';
  if (bytes[0] === 0xff && bytes[1] === 0xfe) return 'utf-16le';
  if (bytes[0] === 0xfe && bytes[1] === 0xff) return 'utf-16be';
  const look = Math.min(bytes.length, 4000);
  let even = 0;
  let odd = 0;
  for (let i = 0; i < look; i++) if (bytes[i] === 0) i % 2 === 0 ? even++ : odd++;
  if (odd > 0.3 * (look / 2) && even < 0.02 * look) return 'utf-16le';
  if (even > 0.3 * (look / 2) && odd < 0.02 * look) return 'utf-16be';
  if (even + odd > 0.02 * look) return null;
  try {
    new TextDecoder('utf-8', { fatal: true }).decode(bytes);
    return 'utf-8';
  } catch {
    return 'windows-1252';
  }
};
