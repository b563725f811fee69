import { type RefObject, useCallback, useDeferredValue, useEffect, useLayoutEffect, useRef, useState } from 'react';
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
  /** As many as a pane of this name shows that none was seen of yet; a little less than the window without. */
  readonly rowsAtFirst: number | undefined;
  readonly isRead: (index: number) => boolean;
}

interface Sight {
  /** The row at the upper edge, and how many fit below it, begun ones too. */
  readonly top: number;
  readonly rows: number;
}

/** `to` is not among them. */
interface Rows {
  readonly from: number;
  readonly to: number;
}

interface InSight {
  /** Put it on what scrolls: a head that stays at its top, then the rows. */
  readonly pane: RefObject<HTMLDivElement | null>;
  readonly head: RefObject<HTMLDivElement | null>;
  /** Rows to draw. */
  readonly drawn: Rows;
  /** Rows to read: those to draw, or those that will be once they are read. */
  readonly wanted: Rows;
  /** Whether a row stands between the edges, not beyond them. */
  readonly isInSight: (index: number) => boolean;
  /** Whether a row is filled in this frame: beyond the edges they follow, once those in sight are drawn. */
  readonly isFilled: (index: number) => boolean;
  /** Whole rows that the pane shows. */
  readonly pageRows: () => number;
  /** Scrolls just as far as the row needs to stand in sight. */
  readonly bring: (index: number) => void;
}

/** What stands above and below a pane that fills the window, px: taken wrongly, rows are drawn in vain or a moment later. */
const aroundPx = 210;

/** Rows that panes showed when they were last seen. */
const lastRows = new Map<string, number>();

/** Far from every row, and no row high: as long as nothing is drawn. */
const nowhere: Sight = { top: Number.NEGATIVE_INFINITY, rows: 0 };

/** As long as that the pane stands empty after a jump; what is read sooner is drawn at once, and once. */
const patienceMs = 100;

/**
 * Which rows of one height a pane shows, as it is scrolled and sized. No row is measured, so any number may be there;
 * nor is the pane before it is drawn, which begins with as many rows as the one before.
 */
export function useInSight({ name, total, rowHeight, beyond, startAt, rowsAtFirst, isRead }: Setting): InSight {
  const pane = useRef<HTMLDivElement>(null);
  const head = useRef<HTMLDivElement>(null);
  const [sight, setSight] = useState<Sight>(() => ({
    top: startAt,
    rows: lastRows.get(name) ?? rowsAtFirst ?? Math.max(1, Math.ceil((innerHeight - aroundPx) / rowHeight) + 1),
  }));
  // Where a jump led to rows that are still to be read.
  const [ahead, setAhead] = useState<Sight | null>(null);
  // A list that became shorter is scrolled back by the browser, which tells of it later.
  const topOf = ({ top, rows }: Sight) => Math.max(0, Math.min(top, total - rows + 1));
  const areRead = (there: Sight): boolean =>
    isRead(topOf(there)) && isRead(Math.min(total, topOf(there) + there.rows) - 1);
  const shown = ahead !== null && areRead(ahead) ? ahead : sight;
  const settled = useDeferredValue(shown, nowhere);
  const latest = useRef({ shown, ahead, areRead });
  latest.current = { shown, ahead, areRead };
  const look = useCallback((): void => {
    const element = pane.current;
    if (!element) return;
    const top = Math.floor(element.scrollTop / rowHeight);
    const rows = Math.ceil((element.clientHeight - (head.current?.offsetHeight ?? 0)) / rowHeight) + 1;
    lastRows.set(name, rows);
    const there = { top, rows };
    const { shown, areRead } = latest.current;
    const isJump = Math.abs(top - shown.top) > rows + beyond && !areRead(there);
    setAhead(isJump ? there : null);
    if (!isJump) setSight((now) => (now.top === top && now.rows === rows ? now : there));
  }, [name, rowHeight, beyond]);
  const isAhead = ahead !== null;
  useEffect(() => {
    if (!isAhead) return;
    const late = setTimeout(() => {
      setSight((now) => latest.current.ahead ?? now);
      setAhead(null);
    }, patienceMs);
    return () => clearTimeout(late);
  }, [isAhead]);
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
  const drawn = (there: Sight): Rows => ({
    from: Math.max(0, topOf(there) - beyond),
    to: Math.min(total, topOf(there) + there.rows + beyond),
  });
  const near = Math.abs(settled.top - shown.top) <= beyond && settled.rows === shown.rows;
  const top = topOf(shown);
  const isInSight = (index: number): boolean => index >= top && index < top + shown.rows;
  return {
    pane,
    head,
    drawn: drawn(shown),
    wanted: drawn(ahead ?? shown),
    isInSight,
    isFilled: (index) => near || isInSight(index),
    pageRows: () => Math.max(1, shown.rows - 3),
    bring,
  };
}
