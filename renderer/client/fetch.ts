import type { AnswerLine, HostEvent, Progress } from '../../core/contract/host.ts';
import type { Reply } from '../../core/contract/problem.ts';
import type { Carrier } from './carrier.ts';

const fault = (message: string): Reply<never> => ({ ok: false, problem: { code: 'fault', message } });

/** Carries asks over HTTP to the loopback host that served this page. */
export function fetchCarrier(): Carrier {
  const listeners = new Set<(event: HostEvent) => void>();
  let stream: EventSource | undefined;
  return {
    kind: 'browser',
    async send(name, input, id, onProgress) {
      try {
        const response = await fetch(`/ask/${encodeURIComponent(name)}`, {
          method: 'POST',
          headers: { 'content-type': 'application/json', 'x-ask-id': id },
          body: JSON.stringify(input),
        });
        if (response.status === 401 || response.status === 403)
          return { ok: false, problem: { code: 'not-allowed', message: await response.text() } };
        if (!response.body) return fault(`The host answered ${response.status}.`);
        return await readAnswer(response.body, onProgress);
      } catch {
        return fault('The host does not answer. It may have been closed: start it again and reload this page.');
      }
    },
    cancel(id) {
      void fetch(`/cancel/${encodeURIComponent(id)}`, { method: 'POST' }).catch(() => {});
    },
    onEvent(listener) {
      listeners.add(listener);
      if (!stream) {
        stream = new EventSource('/events');
        stream.onmessage = (message) => {
          const event = JSON.parse(message.data as string) as HostEvent;
          for (const each of [...listeners]) each(event);
        };
      }
      return () => listeners.delete(listener);
    },
  };
}

/** Reads lines of JSON as they come: progress, then the reply. */
async function readAnswer(
  body: ReadableStream<Uint8Array<ArrayBuffer>>,
  onProgress: (progress: Progress) => void,
): Promise<Reply<unknown>> {
  const reader = body.pipeThrough(new TextDecoderStream()).getReader();
  let rest = '';
  for (;;) {
    const { value, done } = await reader.read();
    rest += value ?? '';
    const lines = rest.split('\n');
    rest = lines.pop() ?? '';
    for (const line of lines) {
      const answer = JSON.parse(line) as AnswerLine;
      if ('reply' in answer) return answer.reply;
      onProgress(answer.progress);
    }
    if (done) return fault('The host broke off its answer.');
  }
}
