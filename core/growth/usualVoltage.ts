import type { FleetColumns } from './columns.ts';

/** A voltage used in at least this share of a rated class's maintenance tests is one of its usual ones. */
const usualShare = 0.25;
const maintenance = 1;

/**
 * The voltage at which each segment's level is stated: one for a rated class, so that levels compare, and one that
 * every segment of the class may be tested at: the lowest of the class's usual maintenance voltages (insulation levels
 * differ). Where no voltage is usual, the commonest. NaN where nothing was measured on the class.
 */
export function usualVoltages(columns: FleetColumns): Float64Array {
  const { readings, segments } = columns;
  const classOf = (s: number) => Math.max(0, segments.ratedKv[s]! || 0);
  const counts = new Map<number, Map<number, number>>();
  for (let r = 0; r < readings.count; r++) {
    if (!(readings.voltageKv[r]! > 0)) continue;
    const key = classOf(readings.segment[r]!);
    const seen = counts.get(key) ?? new Map<number, number>();
    counts.set(key, seen);
    // Other purposes count a little: they decide only where a class has no maintenance test at all.
    const worth = readings.purpose[r] === maintenance ? 1 : 1e-6;
    seen.set(readings.voltageKv[r]!, (seen.get(readings.voltageKv[r]!) ?? 0) + worth);
  }
  const reference = new Map<number, number>();
  for (const [key, seen] of counts) {
    const total = [...seen.values()].reduce((a, b) => a + b, 0);
    const sorted = [...seen].sort((a, b) => b[1] - a[1] || b[0] - a[0]);
    const usual = sorted.filter(([, count]) => count >= usualShare * total).map(([kv]) => kv);
    reference.set(key, usual.length > 0 ? Math.min(...usual) : sorted[0]![0]);
  }
  return Float64Array.from({ length: segments.count }, (_, s) => reference.get(classOf(s)) ?? Number.NaN);
}
