import { type RefObject, useLayoutEffect, useRef } from 'react';
import type { Figure } from '../../core/contract/figure.ts';
import type { Drawn } from './draw.ts';
import { chartsHere, fetchCharts } from './fetchCharts.ts';
import type { Scaled } from './scale.ts';

interface Wanted {
  readonly figure: Figure;
  readonly scaled: Scaled | undefined;
  readonly height: number;
}

/** As wide as the chart that was drawn last: most stand where the one before stood. */
let lastWidthPx = 0;

/**
 * A chart in an element, in the same frame as what stands around it once the charts are here; another figure is drawn
 * in place of the former one.
 */
export function useDrawn(
  { figure, scaled, height }: Wanted,
  on: boolean,
): { readonly place: RefObject<HTMLDivElement | null>; readonly drawn: RefObject<Drawn | null> } {
  const place = useRef<HTMLDivElement>(null);
  const drawn = useRef<Drawn | null>(null);
  const latest = useRef<Wanted>(null);
  useLayoutEffect(() => {
    latest.current = { figure, scaled, height };
    drawn.current?.show(figure, scaled);
  }, [figure, scaled, height]);
  useLayoutEffect(() => {
    const element = place.current;
    if (!element || !on) return;
    let gone = false;
    const begin = ({ draw }: NonNullable<ReturnType<typeof chartsHere>>): void => {
      if (gone || !latest.current) return;
      const { figure, scaled, height } = latest.current;
      const width = lastWidthPx || element.clientWidth;
      drawn.current = draw(element, figure, scaled, { width, height });
    };
    const here = chartsHere();
    if (here) begin(here);
    else void fetchCharts().then(begin);
    const observer = new ResizeObserver(() => {
      lastWidthPx = element.clientWidth;
      drawn.current?.resize(lastWidthPx);
    });
    observer.observe(element);
    return () => {
      gone = true;
      observer.disconnect();
      drawn.current?.dispose();
      drawn.current = null;
    };
  }, [on]);
  return { place, drawn };
}
