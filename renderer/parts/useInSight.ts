import { type RefObject, useCallback, useLayoutEffect, useRef, useState } from 'react';
import { flushSync } from 'react-dom';

interface Setting {
  readonly total: number;
  readonly rowHeight: number;
  /** Rows drawn above and below those in sight. */
  readonly beyond: number;
  /** The row at the top at first. */
  readonly startAt: number;
}

interface Sight {
  /** The row at the upper edge, and how many fit below it, begun ones too. */
  readonly top: number;
  readonly rows: number;
}

interface InSight {
  /** Put it on what scrolls: a head that stays at its top, then the rows. */
  readonly pane: RefObject<HTMLDivElement | null>;
  readonly head: RefObject<HTMLDivElement | null>;
  /** Rows to draw, `to` not among them. */
  readonly from: number;
  readonly to: number;
  /** Whole rows that the pane shows. */
  readonly pageRows: () => number;
  /** Scrolls just as far as the row needs to stand in sight. */
  readonly bring: (index: number) => void;
}

/** Which rows of one height a pane shows, as it is scrolled and sized. No row is measured, so any number may be there. */
export function useInSight({ total, rowHeight, beyond, startAt }: Setting): InSight {
  const pane = useRef<HTMLDivElement>(null);
  const head = useRef<HTMLDivElement>(null);
  const [sight, setSight] = useState<Sight>({ top: startAt, rows: 0 });
  const look = useCallback((): void => {
    const element = pane.current;
    if (!element) return;
    const top = Math.floor(element.scrollTop / rowHeight);
    const rows = Math.ceil((element.clientHeight - (head.current?.offsetHeight ?? 0)) / rowHeight) + 1;
    setSight((now) => (now.top === top && now.rows === rows ? now : { top, rows }));
  }, [rowHeight]);
  const first = useRef(startAt);
  useLayoutEffect(() => {
    const element = pane.current;
    if (!element) return;
    element.scrollTop = first.current * rowHeight;
    look();
    // In the frame that shows the scrolled pane, not in the one after it.
    const onScroll = () => flushSync(look);
    const observer = new ResizeObserver(look);
    observer.observe(element);
    element.addEventListener('scroll', onScroll, { passive: true });
    return () => {
      observer.disconnect();
      element.removeEventListener('scroll', onScroll);
    };
  }, [look, rowHeight]);
  const bring = (index: number): void => {
    const element = pane.current;
    if (!element) return;
    const top = index * rowHeight;
    const room = element.clientHeight - (head.current?.offsetHeight ?? 0) - rowHeight;
    if (top < element.scrollTop) element.scrollTop = top;
    else if (top > element.scrollTop + room) element.scrollTop = top - room;
    else return;
    look();
  };
  // A list that became shorter is scrolled back by the browser, which tells of it later.
  const top = Math.max(0, Math.min(sight.top, total - sight.rows + 1));
  return {
    pane,
    head,
    from: Math.max(0, top - beyond),
    to: sight.rows === 0 ? 0 : Math.min(total, top + sight.rows + beyond),
    pageRows: () => Math.max(1, sight.rows - 3),
    bring,
  };
}
