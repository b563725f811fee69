import { type RefObject, useLayoutEffect, useRef, useState } from 'react';
import { flushSync } from 'react-dom';

/** Rows drawn beyond those in sight, at either end. */
const beyond = 10;

interface Sight {
  /** The first row in sight. */
  readonly first: number;
  readonly heightPx: number;
  /** Where the pane is to be scrolled to, px; null where the person scrolled it. */
  readonly aimedPx: number | null;
}

export interface RowWindow {
  /** The rows to draw: from, up to but not including. */
  readonly from: number;
  readonly to: number;
  /** How many rows fit into the pane. */
  readonly fitting: number;
  /** Brings a row into sight by the shortest way; may be called while rendering. */
  readonly aim: (index: number) => void;
}

/**
 * Which rows of a long list are drawn, where all are equally high: those in sight and a few more. Nothing is measured
 * while rendering, so that a list that moves with what is drawn beside it costs one layout.
 */
export function useRowWindow(pane: RefObject<HTMLElement | null>, count: number, rowPx: number): RowWindow {
  // Before it is measured the pane is taken to be as high as the window: that draws too much, never too little.
  const [sight, setSight] = useState<Sight>(() => ({ first: 0, heightPx: innerHeight, aimedPx: null }));
  const topPx = useRef(0);
  useLayoutEffect(() => {
    const element = pane.current;
    if (!element) return;
    const onScroll = (): void => {
      topPx.current = element.scrollTop;
      const first = Math.floor(element.scrollTop / rowPx);
      // At once, so that the frame that shows the pane moved shows its rows too.
      flushSync(() => setSight((now) => scrolled(now, first, element.scrollTop)));
    };
    const observer = new ResizeObserver(() => {
      const heightPx = element.clientHeight;
      setSight((now) => (now.heightPx === heightPx ? now : { ...now, heightPx }));
    });
    observer.observe(element);
    element.addEventListener('scroll', onScroll, { passive: true });
    return () => {
      observer.disconnect();
      element.removeEventListener('scroll', onScroll);
    };
  }, [pane, rowPx]);
  const { aimedPx } = sight;
  useLayoutEffect(() => {
    if (aimedPx === null || !pane.current) return;
    pane.current.scrollTop = aimedPx;
  }, [pane, aimedPx]);
  const aim = (index: number): void => {
    const [top, bottom] = [index * rowPx, (index + 1) * rowPx];
    const now = sight.aimedPx ?? topPx.current;
    if (top >= now && bottom <= now + sight.heightPx) return;
    const aimed = top < now ? top : Math.max(0, bottom - sight.heightPx);
    setSight({ ...sight, first: Math.floor(aimed / rowPx), aimedPx: aimed });
  };
  const fitting = Math.max(1, Math.floor(sight.heightPx / rowPx));
  return {
    from: Math.max(0, Math.min(sight.first, count - fitting) - beyond),
    to: Math.min(count, sight.first + fitting + 2 + beyond),
    fitting,
    aim,
  };
}

function scrolled(sight: Sight, first: number, topPx: number): Sight {
  const aimedPx = sight.aimedPx === topPx ? topPx : null;
  return sight.first === first && sight.aimedPx === aimedPx ? sight : { ...sight, first, aimedPx };
}
