import type { SegmentId } from '../contract/ids.ts';
import { calibrationOn } from '../evidence/calibration.ts';
import type { FleetColumns, ReadingColumns } from '../growth/columns.ts';
import { fitGrowth } from '../growth/fitGrowth.ts';
import { calibrations } from '../store/calibration.ts';
import { isoOf } from './days.ts';
import { type Desk, today } from './desk.ts';
import { type ColumnsRead, readColumns } from './fleet-columns.ts';
import { frameOf } from './frame.ts';
import { standingsAsOf } from './standings.ts';
import type { Task } from './task.ts';

/** Segments shown, those whose growth changes most first. */
const shown = 200;

/** 1 for each reading that was made with an instrument out of calibration that day. */
function madeOutOfCalibration(desk: Desk, read: ColumnsRead): Uint8Array {
  const byInstrument = Map.groupBy(calibrations(desk.fleet), (row) => row.instrumentId);
  const { readings } = read.columns;
  const known = new Map<number, boolean>();
  return Uint8Array.from({ length: readings.count }, (_, r) => {
    const instrument = readings.instrument[r]!;
    if (instrument < 0) return 0;
    const day = readings.day[r]!;
    const key = instrument * 1e6 + day;
    let out = known.get(key);
    if (out === undefined) {
      const own = byInstrument.get(read.instruments[instrument]!) ?? [];
      out = calibrationOn(own, isoOf(day)).status === 'out of calibration';
      known.set(key, out);
    }
    return out ? 1 : 0;
  });
}

/** The columns without the readings marked; events are numbered anew, without gaps. */
function without(columns: FleetColumns, left: Uint8Array): FleetColumns {
  const { readings } = columns;
  const keep = [...left.keys()].filter((r) => left[r] === 0);
  const event = new Int32Array(keep.length);
  let last = -1;
  let number = -1;
  keep.forEach((r, i) => {
    if (readings.event[r] !== last) number++;
    last = readings.event[r]!;
    event[i] = number;
  });
  const floats = (column: Float64Array) => Float64Array.from(keep, (r) => column[r]!);
  const ints = (column: Int32Array) => Int32Array.from(keep, (r) => column[r]!);
  const bytes = (column: Uint8Array) => Uint8Array.from(keep, (r) => column[r]!);
  const taken: ReadingColumns = {
    count: keep.length,
    segment: ints(readings.segment),
    event,
    day: ints(readings.day),
    phase: bytes(readings.phase),
    voltageKv: floats(readings.voltageKv),
    dwellMin: floats(readings.dwellMin),
    leakageUa: floats(readings.leakageUa),
    belowFloor: bytes(readings.belowFloor),
    insulationTempC: floats(readings.insulationTempC),
    ambientTempC: floats(readings.ambientTempC),
    method: bytes(readings.method),
    purpose: bytes(readings.purpose),
    instrument: ints(readings.instrument),
  };
  if (!columns.decisions) return { ...columns, readings: taken };
  const { bits, factor } = columns.decisions;
  return { ...columns, readings: taken, decisions: { bits: bytes(bits), factor: floats(factor) } };
}

/** What the ranking would be without the tests that were made with an instrument out of calibration. */
export const withoutTask: Task<'calibration.without'> = (desk, { asOf = today(desk) }) => {
  const standings = standingsAsOf(desk, asOf);
  const read = readColumns(desk, asOf);
  const left = madeOutOfCalibration(desk, read);
  const { readings } = read.columns;
  const touched = new Set<number>();
  const events = new Set<number>();
  left.forEach((out, r) => {
    if (out === 0) return;
    touched.add(readings.segment[r]!);
    events.add(readings.event[r]!);
  });
  if (events.size === 0)
    return {
      asOf,
      tests: 0,
      touched: 0,
      sentence: 'No test up to that day was made with an instrument out of calibration.',
      segments: [],
    };
  const fit = fitGrowth(without(read.columns, left), {}, (share) => {
    desk.checkStop();
    desk.progress(Math.round(share * 100), 100, 'fitting growth without those tests');
  });
  const rank = new Map<number, number>();
  for (const i of fit.order) if (standings.retired[i] === 0) rank.set(i, rank.size + 1);
  const frame = frameOf(desk.fleet);
  const segments = [...touched].flatMap((i) => {
    const row = frame.rows[i]!;
    if (standings.retired[i] === 1) return [];
    return {
      segmentId: row.id as SegmentId,
      segment: row.name,
      segmentOwnerId: row.ownerId,
      now: standings.rank[i]! > 0 ? { rank: standings.rank[i]!, growthPctPerYr: standings.growth[i]! } : null,
      without: rank.has(i) ? { rank: rank.get(i)!, growthPctPerYr: fit.segments.growthPctPerYr[i]! } : null,
    };
  });
  const change = (one: (typeof segments)[number]) =>
    one.now && one.without ? Math.abs(one.now.growthPctPerYr - one.without.growthPctPerYr) : Number.POSITIVE_INFINITY;
  segments.sort((a, b) => change(b) - change(a) || (a.segmentOwnerId < b.segmentOwnerId ? -1 : 1));
  const moved = segments.filter((one) => one.now?.rank !== one.without?.rank).length;
  return {
    asOf,
    tests: events.size,
    touched: segments.length,
    sentence: `Without the ${events.size} tests made out of calibration, ${moved} of the ${segments.length} segments they touch would stand elsewhere in the ranking. The tests stay in the record and in the ranking.`,
    segments: segments.slice(0, shown),
  };
};
