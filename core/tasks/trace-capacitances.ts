import type { MeasuredCapacitance } from '../growth/findings/context.ts';
import { capacitancesInTraces } from '../store/records-traces.ts';
import type { Fleet } from '../store/sql.ts';
import { computedCapacitance } from '../trade/geometry.ts';
import type { InsulationFamily } from '../trade/insulation.ts';
import type { ColumnsRead } from './fleet-columns.ts';

/** Capacitances that traces up to a day show, of segments whose dimensions are on record to compare them with. */
export function measuredCapacitances(fleet: Fleet, read: ColumnsRead, asOf: string): MeasuredCapacitance[] {
  const bySegment = Map.groupBy(capacitancesInTraces(fleet, asOf), ({ segmentId }) => segmentId);
  return [...bySegment].flatMap(([segmentId, traces]) => {
    const segment = read.ordinalById.get(segmentId)!;
    const row = read.segments[segment]!;
    const computed = computedCapacitance({ ...row, insulation: row.insulation as InsulationFamily, lengthKm: 1 });
    if (!computed.known) return [];
    const { nf, lowNf, highNf } = computed.value;
    const measuredNf = traces.map((trace) => trace.nf);
    return [{ segment, measuredNf, nfPerKm: nf, lowNfPerKm: lowNf, highNfPerKm: highNf }];
  });
}
