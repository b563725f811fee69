import { createReadStream, statSync } from 'node:fs';
import type { IncomingMessage, ServerResponse } from 'node:http';
import { extname } from 'node:path';
import { pipeline } from 'node:stream/promises';
import type { PageFiles } from '../page-files.ts';
import { mediaTypeOf, safetyHeaders } from '../page-rules.ts';
import type { Staging } from './staging.ts';
import { zipOf } from './zip.ts';

/** Answers with a plain sentence. */
export function sendWords(response: ServerResponse, status: number, words: string): void {
  response.writeHead(status, {
    ...safetyHeaders,
    'content-type': 'text/plain; charset=utf-8',
    'cache-control': 'no-store',
  });
  response.end(words);
}

/** Answers with a file of the built page. */
export function sendPage(request: IncomingMessage, response: ServerResponse, pages: PageFiles, path: string): void {
  const file = pages.get(path);
  if (!file) {
    sendWords(response, 404, 'There is nothing here.');
    return;
  }
  const packed = file.gzip !== null && /\bgzip\b/.test(String(request.headers['accept-encoding'] ?? ''));
  const body = packed ? file.gzip! : file.body;
  response.writeHead(200, {
    ...safetyHeaders,
    'content-type': file.type,
    'content-length': body.length,
    'cache-control': file.lasting ? 'private, max-age=31536000, immutable' : 'no-store',
    ...(file.gzip === null ? {} : { vary: 'accept-encoding' }),
    ...(packed ? { 'content-encoding': 'gzip' } : {}),
  });
  response.end(body);
}

/** Sends what an ask wrote for the browser as a download; a folder as a ZIP. */
export async function sendMade(response: ServerResponse, staging: Staging, path: readonly string[]): Promise<void> {
  const [id = '', name = ''] = path;
  const file = staging.made(id, name);
  if (file === undefined) return sendWords(response, 404, 'There is no such file, or it is not written yet.');
  const folder = statSync(file).isDirectory();
  const shown = folder ? `${name}.zip` : name;
  response.writeHead(200, {
    ...safetyHeaders,
    'content-type': folder ? 'application/zip' : mediaTypeOf(extname(name)),
    'content-disposition': `attachment; filename*=UTF-8''${encodeURIComponent(shown)}`,
    'cache-control': 'no-store',
  });
  await pipeline(folder ? zipOf(file) : createReadStream(file), response);
}
