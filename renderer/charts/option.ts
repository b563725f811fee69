import type { CustomSeriesOption, LineSeriesOption, ScatterSeriesOption } from 'echarts/charts';
import type { GridComponentOption } from 'echarts/components';
import type { ComposeOption } from 'echarts/core';
import type { Figure } from '../../core/contract/figure.ts';
import type { ChartColours } from './colours.ts';
import { bandSeries, labelSeries, levelSeries, markSeries, rulingSeries } from './drawings.ts';
import { alongAxis, levelAxis, type Scaled } from './scale.ts';

export type Option = ComposeOption<CustomSeriesOption | LineSeriesOption | ScatterSeriesOption | GridComponentOption>;

export const sans = '"Source Sans 3", system-ui, sans-serif';

/** ECharts draws level on a plain axis of powers of ten, since its own log axis labels whole decades only. */
export const ordinate = (figure: Figure, y: number): number => (figure.yScale === 'log' ? Math.log10(y) : y);

const symbols = {
  A: { symbol: 'circle', symbolSize: 8.5 },
  B: { symbol: 'triangle', symbolSize: [10.5, 9.5] },
  C: { symbol: 'emptyRect', symbolSize: 7.5 },
} as const;

/** A figure as ECharts draws it, in the colours of the theme. */
export function optionOf(figure: Figure, colours: ChartColours, scaled: Scaled = figure): Option {
  const y = (value: number) => ordinate(figure, value);
  const along = alongAxis(scaled);
  const level = levelAxis(scaled);
  const [yMin, yMax] = [y(level.min), y(level.max)];
  const within = (value: number) => Math.max(yMin, Math.min(yMax, value));
  const drawable = ([, value]: readonly [number, number]) => figure.yScale === 'linear' || value > 0;
  const lines = figure.lines.map((line, at): LineSeriesOption => {
    const last = at === figure.lines.length - 1;
    return {
      type: 'line',
      name: line.name,
      data: line.at.filter(drawable).map(([x, value]) => [x, y(value)]),
      showSymbol: false,
      silent: true,
      clip: true,
      lineStyle: { color: last ? colours.ink : colours.second, width: last ? 1.6 : 1.1 },
      // Where no readings are drawn the lines are the matter, and each is named at its end.
      endLabel: {
        show: figure.points.length === 0,
        formatter: line.name,
        color: last ? colours.ink : colours.second,
        fontFamily: sans,
        fontSize: 12,
      },
      z: 4,
    };
  });
  const points = figure.points.map((series): ScatterSeriesOption => {
    const sign = series.phase ? symbols[series.phase] : symbols.A;
    const colour = series.phase ? colours.phases[series.phase] : colours.accent;
    return {
      type: 'scatter',
      name: series.name,
      data: series.at.filter(drawable).map(([x, value]) => [x, y(value)]),
      ...(series.phase === 'C' ? { symbol: 'rect' } : { symbol: sign.symbol }),
      symbolSize: sign.symbolSize as number | number[],
      itemStyle:
        series.phase === 'C'
          ? { color: 'transparent', borderColor: colour, borderWidth: 1.8, opacity: series.faint ? 0.38 : 1 }
          : { color: colour, opacity: series.faint ? 0.38 : 1 },
      silent: true,
      z: 6,
    };
  });
  return {
    animation: false,
    backgroundColor: 'transparent',
    textStyle: { fontFamily: sans, fontSize: 12, color: colours.second },
    grid: { left: 46, right: 92, top: 24, bottom: 28, containLabel: false },
    xAxis: {
      type: 'value',
      min: along.min,
      max: along.max,
      axisLine: { show: false, onZero: false },
      splitLine: { show: false },
      axisTick: { show: true, customValues: [...along.ticks], lineStyle: { color: colours.tick } },
      axisLabel: {
        customValues: [...along.ticks],
        color: colours.second,
        fontSize: 12,
        fontFamily: sans,
        formatter: (value: number) => String(value),
      },
    },
    yAxis: {
      type: 'value',
      min: yMin,
      max: yMax,
      axisLine: { show: false },
      splitLine: { show: false },
      axisTick: { show: false },
      axisLabel: {
        customValues: level.ticks.map(y),
        color: colours.second,
        fontSize: 12,
        fontFamily: sans,
        formatter: (value: number) => String(Number((figure.yScale === 'log' ? 10 ** value : value).toPrecision(6))),
        showMinLabel: true,
        showMaxLabel: true,
      },
    },
    series: [
      rulingSeries(level.ticks.map(y), colours),
      ...figure.bands.map((band) =>
        bandSeries(
          band.at.map(([x, lo, hi]): [number, number, number] => [
            x,
            within(figure.yScale === 'log' && lo <= 0 ? yMin : y(lo)),
            within(y(hi)),
          ]),
          band.sharePct,
          colours,
        ),
      ),
      markSeries(figure.marks, colours),
      levelSeries(figure, y, colours),
      ...lines,
      ...points,
      labelSeries(figure, y, colours),
    ],
  };
}
