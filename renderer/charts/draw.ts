import { CustomChart, LineChart, ScatterChart } from 'echarts/charts';
import { GridComponent } from 'echarts/components';
import { type EChartsType, init, use } from 'echarts/core';
import { CanvasRenderer, SVGRenderer } from 'echarts/renderers';
import type { Figure } from '../../core/contract/figure.ts';
import { coloursNow } from './colours.ts';
import { optionOf, ordinate } from './option.ts';
import type { Scaled } from './scale.ts';

use([CustomChart, LineChart, ScatterChart, GridComponent, SVGRenderer, CanvasRenderer]);

/** A reading of the chart nearest to the pointer. */
export interface Nearest {
  readonly series: number;
  readonly index: number;
}

export interface Drawn {
  resize(): void;
  redraw(): void;
  svg(): string;
  /** Base64 of a PNG at twice the size, on the colour of the sheet. */
  png(): string;
  nearest(x: number, y: number): Nearest | null;
  dispose(): void;
}

/** Draws a figure into an element; this file is the only one that loads ECharts, and is loaded when a chart is first seen. */
export function draw(host: HTMLElement, figure: Figure, scaled: Scaled = figure): Drawn {
  const chart = init(host, null, { renderer: 'svg' });
  chart.setOption(optionOf(figure, coloursNow(), scaled));
  return {
    resize: () => chart.resize(),
    redraw: () => chart.setOption(optionOf(figure, coloursNow(), scaled), { notMerge: true }),
    svg: () => chart.renderToSVGString(),
    png: () => picture(figure, chart.getWidth(), chart.getHeight(), scaled),
    nearest: (x, y) => nearestOf(chart, figure, x, y),
    dispose: () => chart.dispose(),
  };
}

function picture(figure: Figure, width: number, height: number, scaled: Scaled): string {
  const colours = coloursNow();
  const element = document.createElement('div');
  const chart = init(element, null, { renderer: 'canvas', width, height, devicePixelRatio: 2 });
  chart.setOption(optionOf(figure, colours, scaled));
  const url = chart.getDataURL({ type: 'png', pixelRatio: 2, backgroundColor: colours.sheet });
  chart.dispose();
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
