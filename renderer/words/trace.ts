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

export const quantities = ['voltage', 'current', 'resistance'] as const;
export type Quantity = (typeof quantities)[number];

/** Each quantity with its unit. */
export const quantityWords: Readonly<Record<Quantity, string>> = {
  voltage: 'Voltage, kV',
  current: 'Current, µA',
  resistance: 'Resistance, MΩ',
};

const units: Readonly<Record<Quantity, string>> = { voltage: 'kV', current: 'µA', resistance: 'MΩ' };

const columnOf = (trace: ShownTrace, what: Quantity): readonly (number | null)[] =>
  what === 'voltage' ? trace.voltageKv : what === 'current' ? trace.currentUa : trace.resistanceMohm;

/** 'at 62 s: A 20.0 kV, 4.71 µA · B 20.0 kV, 3.90 µA': the samples under the cursor. */
export function cursorWords(traces: readonly ShownTrace[], seconds: number, shown: readonly Quantity[]): string {
  const years = new Set(traces.map((trace) => trace.testedOn)).size > 1;
  const each = traces.map((trace) => {
    const at = nearest(trace.timeS, seconds);
    const said = quantities
      .filter((what) => shown.includes(what))
      .map((what) => {
        const value = columnOf(trace, what)[at];
        return value === null || value === undefined ? '–' : `${measured(value)}${nb}${units[what]}`;
      });
    return `${years ? `${trace.testedOn.slice(0, 4)} ` : ''}${trace.phase} ${said.join(', ')}`;
  });
  return `at ${fixed(seconds, Math.abs(seconds) < 100 ? 1 : 0)}${nb}s: ${each.join(' · ')}`;
}

function nearest(times: readonly number[], seconds: number): number {
  let best = 0;
  for (let i = 1; i < times.length; i++) if (Math.abs(times[i]! - seconds) < Math.abs(times[best]! - seconds)) best = i;
  return best;
}

/** The samples of tests as a chart's data: one quantity against time. */
export function traceFigure(traces: readonly ShownTrace[], what: Quantity): Figure {
  const series = (trace: ShownTrace): [number, number][] =>
    trace.timeS.flatMap((t, at): [number, number][] => {
      const value = columnOf(trace, what)[at];
      return value === null || value === undefined ? [] : [[t, value]];
    });
  const [first] = traces;
  return {
    title: quantityWords[what],
    xLabel: 'seconds from the highest voltage',
    yLabel: units[what],
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
