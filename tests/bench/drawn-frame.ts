import type { Page } from 'playwright-core';

/** What stands on the page once an interaction is drawn. */
export interface Sign {
  readonly selector: string;
  /** The element's text begins so. */
  readonly begins?: string;
  /** The element's text is another than before. */
  readonly changed?: boolean;
}

export interface Drawn {
  /** From the time stamp of the input itself until the frame that shows its sign has been handed to the compositor, ms. */
  readonly ms: number;
  /** The longest ask that the page sent meanwhile, ms; 0 where it sent none. */
  readonly askMs: number;
}

/** The event that is waited for; 'script' is one that a script sends as it acts, where a browser lets no person's key be sent. */
export type Input = 'keydown' | 'pointerdown' | 'wheel' | 'script';

/** Nothing that is asked on purpose takes longer than this, ms. */
const patienceMs = 120_000;

declare global {
  /** The measurement under way, on the page. */
  var drawnFrame: Promise<Drawn | string>;
}

/**
 * One interaction, timed inside the page: its input is a trusted event with a time stamp of its own, the sign is looked
 * for in each frame, and the clock stops behind the frame that shows it. Throws where it is never drawn.
 */
export async function drawn(page: Page, on: Input, sign: Sign, act: () => Promise<unknown>): Promise<Drawn> {
  await page.evaluate(watch, { on, sign, patienceMs });
  await act();
  const answer = await page.evaluate(() => globalThis.drawnFrame);
  if (typeof answer === 'string') throw new Error(answer);
  return answer;
}

/** Runs on the page. */
function watch({ on, sign, patienceMs }: { on: Input; sign: Sign; patienceMs: number }): void {
  const textOf = () => document.querySelector(sign.selector)?.textContent ?? null;
  const before = textOf();
  let began: number | null = null;
  // The last of them: of keys that are held together the last one acts.
  const begin = (event: Event): void => {
    began = event.timeStamp;
  };
  addEventListener(on, begin, { capture: true });
  performance.clearResourceTimings();
  const isThere = (): boolean => {
    const text = textOf();
    if (text === null) return false;
    return text.startsWith(sign.begins ?? '') && !(sign.changed && text === before);
  };
  globalThis.drawnFrame = new Promise((resolve) => {
    const stop = performance.now() + patienceMs;
    const look = (): void => {
      if (performance.now() > stop) resolve(`never drawn: ${JSON.stringify(sign)}`);
      else if (began === null || !isThere()) requestAnimationFrame(look);
      // First of all that waits when the frame is done, ahead of what the page put off until then.
      else
        void scheduler.postTask(
          () => {
            removeEventListener(on, begin, { capture: true });
            // Whoever records a trace of the page finds it there.
            performance.measure('interaction', { start: began! });
            const asks = performance
              .getEntriesByType('resource')
              .filter((entry) => entry.name.includes('/ask/') && entry.startTime >= began!);
            resolve({ ms: performance.now() - began!, askMs: Math.max(0, ...asks.map((entry) => entry.duration)) });
          },
          { priority: 'user-blocking' },
        );
    };
    requestAnimationFrame(look);
  });
}
