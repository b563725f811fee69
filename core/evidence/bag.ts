/** BagIt 1.0 (RFC 8493): the texts of a bag. */

export interface BagFile {
  /** Path inside the bag, with '/' between its parts. */
  readonly path: string;
  /** Hexadecimal. */
  readonly sha256: string;
  readonly bytes: number;
}

export const bagitText = 'BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n';

/** RFC 8493, 2.1.3: only CR, LF and % are written in per cent. */
export const manifestPath = (path: string): string =>
  path.replaceAll('%', '%25').replaceAll('\r', '%0D').replaceAll('\n', '%0A');
export const pathInManifest = (written: string): string =>
  written.replace(/%0D/gi, '\r').replace(/%0A/gi, '\n').replaceAll('%25', '%');

/** A manifest in the order of its paths; two spaces between, so that `sha256sum -c` reads it. */
export const manifestText = (files: readonly BagFile[]): string =>
  files
    .toSorted((a, b) => (a.path < b.path ? -1 : a.path > b.path ? 1 : 0))
    .map(({ path, sha256 }) => `${sha256}  ${manifestPath(path)}\n`)
    .join('');

/** RFC 8493, 2.2.2: a label, a colon, the value; line ends in a value become spaces. */
export const bagInfoText = (values: readonly (readonly [label: string, value: string])[]): string =>
  values.map(([label, value]) => `${label}: ${value.replaceAll(/\s+/g, ' ').trim()}\n`).join('');

/** The files' bytes and number: RFC 8493's Payload-Oxum. */
export const oxum = (files: readonly BagFile[]): string =>
  `${files.reduce((sum, file) => sum + file.bytes, 0)}.${files.length}`;

/** A name that every file system takes: letters, digits, dot, dash and underscore. */
export const safeName = (name: string): string => {
  const safe = name
    .normalize('NFKD')
    .replaceAll(/[^A-Za-z0-9._-]+/g, '_')
    .replace(/^[.-]+/, '_');
  return safe === '' ? 'file' : safe.slice(-80);
};

export interface ManifestLine {
  readonly path: string;
  readonly sha256: string;
}

/** Lines of a manifest, or the first line that is not one. */
export function readManifest(text: string): { readonly lines: ManifestLine[] } | { readonly wrong: string } {
  const lines: ManifestLine[] = [];
  const seen = new Set<string>();
  for (const line of text.split(/\r\n|\r|\n/)) {
    if (line === '') continue;
    const match = /^([0-9a-fA-F]{64})[ \t]+\*?(.+)$/.exec(line);
    if (!match) return { wrong: `'${line.slice(0, 80)}' is not a SHA-256 and a path` };
    const path = pathInManifest(match[2]!);
    if (!staysInside(path)) return { wrong: `'${path}' leads out of the bag` };
    if (seen.has(path)) return { wrong: `'${path}' stands twice` };
    seen.add(path);
    lines.push({ path, sha256: match[1]!.toLowerCase() });
  }
  return { lines };
}

/** RFC 8493, 2.1.3 and 5.1: no absolute path, no parent folder, no home folder. */
const staysInside = (path: string): boolean =>
  !path.startsWith('/') &&
  !path.startsWith('~') &&
  !/^[A-Za-z]:/.test(path) &&
  !path.includes('\\') &&
  !path.split('/').includes('..');
