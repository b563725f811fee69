import { type RefObject, useLayoutEffect, useRef, useState } from 'react';

/** Widths that parts of this name had when they were last seen, px. */
const lastPx = new Map<string, number>();

/**
 * Width of an element in px, followed as it changes. Where parts of the same name follow each other in the same place,
 * each begins with the width of the one before, and nothing is measured before it is drawn.
 */
export function useWidth<E extends HTMLElement>(first: number, name?: string): [RefObject<E | null>, number] {
  const ref = useRef<E>(null);
  const last = name === undefined ? undefined : lastPx.get(name);
  const [width, setWidth] = useState(last ?? first);
  // biome-ignore lint/correctness/useExhaustiveDependencies: what was known at first decides, not what is known by now
  useLayoutEffect(() => {
    const element = ref.current;
    if (!element) return;
    const measure = (): void => {
      setWidth(element.clientWidth);
      if (name !== undefined) lastPx.set(name, element.clientWidth);
    };
    if (last === undefined) measure();
    const observer = new ResizeObserver(measure);
    observer.observe(element);
    return () => observer.disconnect();
  }, []);
  return [ref, width];
}
