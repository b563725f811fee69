import type { Figure } from '../../core/contract/figure.ts';
import type { ShownTrace, TraceSummary } from '../../core/contract/shapes/records.ts';
import { duration } from './dates.ts';
import { inWords } from './labels.ts';
import { fixed, measured, nb } from './numbers.ts';

/** What the samples say, in a sentence. */
export function traceSays(summary: TraceSummary): string {
  const { row } = summary;
  const parts: string[] = [];
  if (row.outcome !== null) parts.push(inWords(row.outcome));
  if (row.voltage_kv !== null)
    parts.push(`${measured(row.voltage_kv)}${nb}kV${row.dwell_s === null ? '' : ` for ${duration(row.dwell_s)}`}`);
  if (row.leakage_ua !== null)
    parts.push(
      `${measured(row.leakage_ua)}${nb}µA at the end${row.leakage_spread_ua === null ? '' : ` (spread ${measured(row.leakage_spread_ua)})`}`,
    );
  if (row.breakdown_kv !== null) parts.push(`broke down at ${measured(row.breakdown_kv)}${nb}kV`);
  if (row.steps.length > 1) parts.push(`${row.steps.length} steps`);
  const rest = [
    row.absorption_ratio === null ? '' : `absorption ratio ${fixed(row.absorption_ratio, 2)}`,
    summary.polarizationIndex.known ? `polarization index ${fixed(summary.polarizationIndex.value, 2)}` : '',
    summary.capacitanceNf.known ? `capacitance ${measured(summary.capacitanceNf.value)}${nb}nF` : '',
    row.resistance_mohm === null ? '' : `${measured(row.resistance_mohm)}${nb}MΩ`,
  ].filter((word) => word !== '');
  return `${parts.join(', ')}.${rest.length === 0 ? '' : ` ${rest.join(', ')}.`}`;
}

/** Cautions that the samples themselves call for. */
export function traceCautions(summary: TraceSummary): string[] {
  return [
    ...(summary.rising ? ['The current rose while the voltage stood still: that outranks any voltage withstood.'] : []),
    ...(summary.tipUp.known && summary.tipUp.suspect
      ? [`Resistance fell by ${fixed(summary.tipUp.resistanceFallShare * 100, 0)}${nb}% between steps: suspect.`]
      : []),
    ...(summary.earthMin.known
      ? [`After this test the cable had to stay earthed for ${fixed(summary.earthMin.value, 0)}${nb}min at least.`]
      : []),
  ];
}

/** The samples of a test as a chart, current or voltage against time. */
export function traceFigure(traces: readonly ShownTrace[], what: 'current' | 'voltage'): Figure {
  const series = (trace: ShownTrace): [number, number][] =>
    trace.timeS.flatMap((t, at): [number, number][] => {
      const value = what === 'current' ? trace.currentUa[at] : trace.voltageKv[at];
      return value === null || value === undefined ? [] : [[t, value]];
    });
  const first = traces[0];
  return {
    title: what === 'current' ? 'Leakage current' : 'Voltage',
    xLabel: 'seconds from the highest voltage',
    yLabel: what === 'current' ? 'µA' : 'kV',
    xKind: 'seconds',
    yScale: 'linear',
    points: [],
    lines: traces.map((trace) => ({ name: `${trace.testedOn}, phase ${trace.phase}`, at: series(trace) })),
    bands: [],
    levels: [],
    marks: [
      ...(first?.parts.map((part) => ({ name: part.name, x: part.fromS })) ?? []),
      ...traces.flatMap((trace) => (trace.breakdownAtS === null ? [] : [{ name: 'breakdown', x: trace.breakdownAtS }])),
    ],
  };
}
