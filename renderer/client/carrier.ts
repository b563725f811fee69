import type { HostEvent, Progress } from '../../core/contract/host.ts';
import type { Reply } from '../../core/contract/problem.ts';

/** Carries an ask to the host and its answer back. One is chosen when the page starts. */
export interface Carrier {
  readonly kind: 'window' | 'browser';
  send(name: string, input: unknown, id: string, onProgress: (progress: Progress) => void): Promise<Reply<unknown>>;
  cancel(id: string): void;
  onEvent(listener: (event: HostEvent) => void): () => void;
}
