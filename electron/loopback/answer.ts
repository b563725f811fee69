import { randomUUID } from 'node:crypto';
import type { IncomingMessage, ServerResponse } from 'node:http';
import { asks } from '../../core/contract/asks/index.ts';
import type { AnswerLine } from '../../core/contract/host.ts';
import { Refusal } from '../../core/contract/problem.ts';
import type { Carrier } from '../carry.ts';
import { safetyHeaders } from '../page-rules.ts';
import { sendWords } from './send.ts';
import type { Staging } from './staging.ts';

const maxAskBytes = 4 * 1024 * 1024;
const maxFileBytes = 2 * 1024 ** 3;

/** Answers an ask with lines of JSON: progress as it comes, then the reply. */
export async function answerAsk(
  request: IncomingMessage,
  response: ServerResponse,
  carrier: Carrier,
  staging: Staging,
  name: string,
): Promise<void> {
  if (!/^application\/json\b/.test(request.headers['content-type'] ?? ''))
    return sendWords(response, 415, 'An ask is sent as application/json.');
  const text = await readText(request, maxAskBytes);
  if (text === undefined) return tooLarge(response);
  let input: unknown;
  try {
    input = JSON.parse(text);
  } catch {
    return sendWords(response, 400, 'The input is not JSON.');
  }
  const given = request.headers['x-ask-id'];
  const id = typeof given === 'string' && given.length <= 64 ? given : randomUUID();
  // A page that is gone needs no answer, but a write it began is still wanted.
  const mayDrop = Object.hasOwn(asks, name) && asks[name as keyof typeof asks].kind !== 'write';
  response.on('close', () => {
    if (!response.writableEnded && mayDrop) carrier.cancel(id);
  });
  response.writeHead(200, { ...safetyHeaders, 'content-type': 'application/x-ndjson', 'cache-control': 'no-store' });
  const line = (answer: AnswerLine) => `${staging.plain(JSON.stringify(answer))}\n`;
  const reply = await carrier.send(name, input, id, (progress) => {
    if (!response.destroyed) response.write(line({ progress }));
  });
  response.end(line({ reply }));
}

/** Takes an uploaded file into the staging folder. */
export async function takeFile(
  request: IncomingMessage,
  response: ServerResponse,
  staging: Staging,
  path: readonly string[],
): Promise<void> {
  if (Number(request.headers['content-length'] ?? 0) > maxFileBytes) return tooLarge(response);
  try {
    const [batch = '', ...place] = path;
    await staging.take(batch, place, request, maxFileBytes);
    response.writeHead(204).end();
  } catch (error) {
    if (response.destroyed) return;
    const words = error instanceof Refusal ? error.message : 'The file could not be taken.';
    sendWords(response, 400, words);
  }
}

/** The body as text, or undefined where it is longer than allowed. */
async function readText(request: IncomingMessage, maxBytes: number): Promise<string | undefined> {
  if (Number(request.headers['content-length'] ?? 0) > maxBytes) return undefined;
  const chunks: Buffer[] = [];
  let bytes = 0;
  // Leaving early must not destroy the request: the refusal still has to reach the page.
  for await (const chunk of request.iterator({ destroyOnReturn: false })) {
    bytes += (chunk as Buffer).length;
    if (bytes > maxBytes) return undefined;
    chunks.push(chunk as Buffer);
  }
  return Buffer.concat(chunks).toString('utf8');
}

function tooLarge(response: ServerResponse): void {
  response.setHeader('connection', 'close');
  sendWords(response, 413, 'That is more than this host takes.');
}
