import { type RefObject, useCallback, useDeferredValue, useLayoutEffect, useRef, useState } from 'react';
import { flushSync } from 'react-dom';

interface Setting {
  /** Panes of one name are mostly as high as each other. */
  readonly name: string;
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
  /** Whether a row is filled in this frame: beyond the edges they follow, once those in sight are drawn. */
  readonly isFilled: (index: number) => boolean;
  /** Whole rows that the pane shows. */
  readonly pageRows: () => number;
  /** Scrolls just as far as the row needs to stand in sight. */
  readonly bring: (index: number) => void;
}

/** Rows that panes showed when they were last seen. */
const lastRows = new Map<string, number>();

/** Far from every row, and no row high: as long as nothing is drawn. */
const nowhere: Sight = { top: Number.NEGATIVE_INFINITY, rows: 0 };

/**
 * Which rows of one height a pane shows, as it is scrolled and sized. No row is measured, so any number may be there;
 * nor is the pane before it is drawn, which begins with as many rows as the one before.
 */
export function useInSight({ name, total, rowHeight, beyond, startAt }: Setting): InSight {
  const pane = useRef<HTMLDivElement>(null);
  const head = useRef<HTMLDivElement>(null);
  const [sight, setSight] = useState<Sight>(() => ({
    top: startAt,
    rows: lastRows.get(name) ?? Math.ceil(innerHeight / rowHeight),
  }));
  const settled = useDeferredValue(sight, nowhere);
  const look = useCallback((): void => {
    const element = pane.current;
    if (!element) return;
    const top = Math.floor(element.scrollTop / rowHeight);
    const rows = Math.ceil((element.clientHeight - (head.current?.offsetHeight ?? 0)) / rowHeight) + 1;
    lastRows.set(name, rows);
    setSight((now) => (now.top === top && now.rows === rows ? now : { top, rows }));
  }, [name, rowHeight]);
  const first = useRef(startAt);
  useLayoutEffect(() => {
    const element = pane.current;
    if (!element) return;
    if (first.current > 0) element.scrollTop = first.current * rowHeight;
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
  const near = Math.abs(settled.top - sight.top) <= beyond && settled.rows === sight.rows;
  return {
    pane,
    head,
    from: Math.max(0, top - beyond),
    to: Math.min(total, top + sight.rows + beyond),
    isFilled: (index) => near || (index >= top && index < top + sight.rows),
    pageRows: () => Math.max(1, sight.rows - 3),
    bring,
  };
}
