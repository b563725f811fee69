import type { CustomSeriesOption } from 'echarts/charts';
import type { GridComponentOption } from 'echarts/components';
import type { ComposeOption } from 'echarts/core';
import type { Figure } from '../../core/contract/figure.ts';
import type { ChartColours } from './colours.ts';
import { plotted } from './drawings.ts';
import { alongAxis, levelAxis, type Scaled } from './scale.ts';
import { type Area, sans } from './shapes.ts';

export type Option = ComposeOption<CustomSeriesOption | GridComponentOption>;

/** ECharts draws level on a plain axis of powers of ten, since its own log axis labels whole decades only. */
export const ordinate = (figure: Figure, y: number): number => (figure.yScale === 'log' ? Math.log10(y) : y);

/**
 * A figure as ECharts draws it, in the colours of the theme: its axes, and all between them as one series, for each
 * series of its own costs a millisecond on the way to the page.
 */
export function optionOf(figure: Figure, colours: ChartColours, scaled: Scaled = figure): Option {
  const y = (value: number) => ordinate(figure, value);
  const along = alongAxis(scaled);
  const level = levelAxis(scaled);
  const [yMin, yMax] = [y(level.min), y(level.max)];
  const label = { color: colours.second, fontSize: 12, fontFamily: sans };
  return {
    animation: false,
    backgroundColor: 'transparent',
    textStyle: label,
    grid: { left: 46, right: 92, top: 24, bottom: 28, containLabel: false },
    xAxis: {
      type: 'value',
      min: along.min,
      max: along.max,
      axisLine: { show: false, onZero: false },
      splitLine: { show: false },
      axisTick: { show: true, customValues: [...along.ticks], lineStyle: { color: colours.tick } },
      axisLabel: { ...label, customValues: [...along.ticks], formatter: (value: number) => String(value) },
    },
    yAxis: {
      type: 'value',
      min: yMin,
      max: yMax,
      axisLine: { show: false },
      splitLine: { show: false },
      axisTick: { show: false },
      axisLabel: {
        ...label,
        customValues: level.ticks.map(y),
        formatter: (value: number) => String(Number((figure.yScale === 'log' ? 10 ** value : value).toPrecision(6))),
        showMinLabel: true,
        showMaxLabel: true,
      },
    },
    series: {
      type: 'custom',
      silent: true,
      z: 4,
      data: [[0, 0]],
      encode: { x: -1, y: -1 },
      renderItem: (params, api) =>
        plotted({
          figure,
          colours,
          area: params.coordSys as unknown as Area,
          ticks: level.ticks,
          at: ([x, value]) => api.coord([x, figure.yScale === 'log' && value <= 0 ? yMin : y(value)]),
        }),
    },
  };
}
