import { CustomChart } from 'echarts/charts';
import { GridComponent } from 'echarts/components';
import { type EChartsType, init, use } from 'echarts/core';
import { CanvasRenderer, SVGRenderer } from 'echarts/renderers';
import type { Figure } from '../../core/contract/figure.ts';
import { coloursNow, coloursOfPage } from './colours.ts';
import { optionOf, ordinate } from './option.ts';
import type { Scaled } from './scale.ts';

use([CustomChart, GridComponent, SVGRenderer, CanvasRenderer]);

/** A reading of the chart nearest to the pointer. */
export interface Nearest {
  readonly series: number;
  readonly index: number;
}

/** A chart on the page. */
export interface Drawn {
  /** Draws another figure in place of the one that stands. */
  show(figure: Figure, scaled?: Scaled): void;
  resize(widthPx: number): void;
  svg(): string;
  /** Base64 of a PNG at twice the size, on the colour of the sheet. */
  png(): string;
  nearest(x: number, y: number): Nearest | null;
  dispose(): void;
}

interface Size {
  readonly width: number;
  readonly height: number;
}

/**
 * Draws a figure into an element as wide as said, so that nothing is measured. This file is the only one that loads
 * ECharts, and is loaded when the page is idle or a chart is first seen.
 */
export function draw(host: HTMLElement, figure: Figure, scaled: Scaled | undefined, size: Size): Drawn {
  const chart = init(host, null, { renderer: 'svg', ...size });
  let shown = { figure, scaled };
  const show = (): void => {
    chart.setOption(optionOf(shown.figure, coloursOfPage, shown.scaled), { notMerge: true });
  };
  const sizeNow = (): Size => ({ width: chart.getWidth(), height: chart.getHeight() });
  show();
  return {
    show(figure, scaled) {
      shown = { figure, scaled };
      show();
    },
    resize(width) {
      if (width > 0 && width !== chart.getWidth()) chart.resize({ width, height: size.height });
    },
    svg: () => pictureOf(shown, 'svg', sizeNow(), (copy) => copy.renderToSVGString()),
    png: () => pictureOf(shown, 'canvas', sizeNow(), pngOf),
    nearest: (x, y) => nearestOf(chart, shown.figure, x, y),
    dispose: () => chart.dispose(),
  };
}

interface Shown {
  readonly figure: Figure;
  readonly scaled: Scaled | undefined;
}

/** A picture that leaves the page, in the colours of the theme as they stand now. */
function pictureOf(
  { figure, scaled }: Shown,
  renderer: 'svg' | 'canvas',
  size: Size,
  take: (chart: EChartsType) => string,
): string {
  const chart = init(document.createElement('div'), null, { renderer, ...size, devicePixelRatio: 2 });
  chart.setOption(optionOf(figure, coloursNow(), scaled));
  const taken = take(chart);
  chart.dispose();
  return taken;
}

function pngOf(chart: EChartsType): string {
  const url = chart.getDataURL({ type: 'png', pixelRatio: 2, backgroundColor: coloursNow().sheet });
  return url.slice(url.indexOf(',') + 1);
}

function nearestOf(chart: EChartsType, figure: Figure, x: number, y: number): Nearest | null {
  let best: Nearest | null = null;
  let distance = 28;
  figure.points.forEach((series, at) => {
    series.at.forEach(([px, py], index) => {
      const place = chart.convertToPixel({ gridIndex: 0 }, [px, ordinate(figure, py)]);
      const away = Math.hypot(place[0]! - x, place[1]! - y);
      if (away < distance) {
        distance = away;
        best = { series: at, index };
      }
    });
  });
  return best;
}
