/** Until the page has nothing else to do. */
export const idle = (): Promise<unknown> => new Promise((resolve) => requestIdleCallback(resolve));

/** One after another, each once the page rests; what it returns ends it before the next. */
export function whenIdle(works: readonly (() => Promise<unknown>)[]): () => void {
  let isOver = false;
  void (async () => {
    for (const work of works) {
      await idle();
      if (isOver) return;
      await work();
    }
  })();
  return () => {
    isOver = true;
  };
}
