import { expect, test } from 'vitest';
import type { FleetColumns } from '../../core/growth/columns.ts';
import { interventionKinds } from '../../core/growth/columns.ts';
import { fitGrowth } from '../../core/growth/fitGrowth.ts';
import { regimes } from '../../core/growth/proving/regimes.ts';
import { simulateFleet } from '../../core/growth/proving/simulateFleet.ts';

/**
 * A cable rose fourteenfold, its section was replaced, and it was then read twice within three months at a ninth of the
 * level. The model once called that a growth of −34 % a year: a late push with a minus sign.
 */
test('a section that was replaced does not read as a cable that heals', () => {
  const messy = regimes.find((regime) => regime.name === 'messy')!;
  const { columns } = simulateFleet(messy, 400, 5);
  const { readings, segments, asOfDay } = columns;
  const segment = 7;
  const tests = [
    { day: asOfDay - 4300, ua: 7.5 },
    { day: asOfDay - 2900, ua: 27 },
    { day: asOfDay - 560, ua: 106 },
    { day: asOfDay - 430, ua: 12 },
    { day: asOfDay - 335, ua: 8.5 },
  ];
  const keep = [...readings.segment.keys()].filter((r) => readings.segment[r] !== segment);
  const before = keep.filter((r) => readings.segment[r]! < segment);
  const after = keep.filter((r) => readings.segment[r]! > segment);
  const template = readings.segment.indexOf(segment);
  const rows = [
    ...before.map((r) => ({ r, own: null })),
    ...tests.flatMap((own) => [0, 1, 2].map((phase) => ({ r: template, own: { ...own, phase } }))),
    ...after.map((r) => ({ r, own: null })),
  ];
  let event = -1;
  let last = '';
  const events = rows.map(({ r, own }) => {
    const name = own ? `own ${own.day}` : `${readings.segment[r]} ${readings.event[r]}`;
    if (name !== last) event++;
    last = name;
    return event;
  });
  const changed: FleetColumns = {
    ...columns,
    segments: {
      ...segments,
      energisedDay: segments.energisedDay.map((day, s) => (s === segment ? asOfDay - 12_000 : day)),
    },
    readings: {
      count: rows.length,
      segment: Int32Array.from(rows, ({ r }) => readings.segment[r]!),
      event: Int32Array.from(events),
      day: Int32Array.from(rows, ({ r, own }) => own?.day ?? readings.day[r]!),
      phase: Uint8Array.from(rows, ({ r, own }) => own?.phase ?? readings.phase[r]!),
      voltageKv: Float64Array.from(rows, ({ r }) => readings.voltageKv[r]!),
      dwellMin: Float64Array.from(rows, ({ r }) => readings.dwellMin[r]!),
      leakageUa: Float64Array.from(rows, ({ r, own }) => own?.ua ?? readings.leakageUa[r]!),
      belowFloor: Uint8Array.from(rows, ({ r, own }) => (own ? 0 : readings.belowFloor[r]!)),
      insulationTempC: Float64Array.from(rows, ({ r, own }) => (own ? 15 : readings.insulationTempC[r]!)),
      ambientTempC: Float64Array.from(rows, ({ r, own }) => (own ? 15 : readings.ambientTempC[r]!)),
      method: Uint8Array.from(rows, ({ r }) => readings.method[r]!),
      purpose: Uint8Array.from(rows, ({ r }) => readings.purpose[r]!),
      instrument: Int32Array.from(rows, ({ r }) => readings.instrument[r]!),
    },
    interventions: withOne(columns, segment, asOfDay - 460),
  };
  const fit = fitGrowth(changed);
  expect(fit.segments.growthPctPerYr[segment]!).toBeGreaterThan(0);
  expect(fit.segments.growthLo[segment]!).toBeGreaterThan(-10);
});

function withOne({ interventions }: FleetColumns, segment: number, day: number): FleetColumns['interventions'] {
  const rows = [...Array(interventions.count).keys()]
    .map((i) => ({ segment: interventions.segment[i]!, day: interventions.day[i]!, kind: interventions.kind[i]! }))
    .filter((row) => row.segment !== segment);
  rows.push({ segment, day, kind: interventionKinds.indexOf('section_replaced') });
  rows.sort((a, b) => a.segment - b.segment || a.day - b.day);
  return {
    count: rows.length,
    segment: Int32Array.from(rows, (row) => row.segment),
    day: Int32Array.from(rows, (row) => row.day),
    kind: Uint8Array.from(rows, (row) => row.kind),
  };
}
