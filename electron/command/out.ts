import type { Progress } from '../../core/contract/host.ts';

/** Where the command line writes; stdout carries the answer alone. */
export interface Out {
  readonly stdout: (text: string) => void;
  readonly stderr: (text: string) => void;
  /** A terminal, where a line of progress may be written over. */
  readonly live: boolean;
}

/** Without a terminal, progress is a line at most this often. */
const lineEveryMs = 1_000;

/** Progress on stderr: one line written over in a terminal, else a line now and then. */
export function progressLine(out: Out) {
  let shown = '';
  let shownAt = performance.now();
  return {
    show({ done, total, words }: Progress) {
      const share = total > 0 ? ` ${Math.floor((100 * done) / total)} %` : '';
      if (out.live) out.stderr(`\r\x1b[K${words}${share}`);
      else {
        if (words === shown || performance.now() - shownAt < lineEveryMs) return;
        shownAt = performance.now();
        out.stderr(`${words}${share}\n`);
      }
      shown = words;
    },
    clear() {
      if (out.live && shown) out.stderr('\r\x1b[K');
    },
  };
}
