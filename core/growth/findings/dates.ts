import { type FleetColumns, testPurposes } from '../columns.ts';
import type { Comparable } from './comparable.ts';
import type { FindingsContext } from './context.ts';
import { type Finding, type FindingKind, isoDay } from './finding.ts';
import { growthEffect } from './growthEffect.ts';

/** Acceptance tests come before energising, by months where a feeder waits for its switchgear. */
const acceptanceDaysBefore = 365;
/** Other tests may be dated a little before the energising that the books give. */
const otherDaysBefore = 30;
const acceptance = testPurposes.indexOf('acceptance');

/** Tests before the segment was energised, after it was retired, or in the future. */
export function findImpossibleDates(fleet: FleetColumns, comparable: Comparable, context: FindingsContext): Finding[] {
  const { readings, segments } = fleet;
  const { events } = comparable;
  const today = context.todayDay ?? fleet.asOfDay;
  const findings: Finding[] = [];
  for (let e = 0; e < events.count; e++) {
    const segment = events.segment[e]!;
    const day = events.day[e]!;
    const energised = segments.energisedDay[segment]!;
    const retired = context.retiredDay?.[segment] ?? Number.NaN;
    const early = readings.purpose[events.start[e]!] === acceptance ? acceptanceDaysBefore : otherDaysBefore;
    if (day > today) add('in the future', e, today, 'today');
    else if (day < energised - early) add('before energising', e, energised, 'it was energised');
    else if (day > retired) add('after retirement', e, retired, 'the segment was retired');
  }
  return findings;

  function add(kind: FindingKind, e: number, limit: number, limitName: string): void {
    const r = events.start[e]!;
    const days = events.day[e]! - limit;
    const own = Array.from({ length: events.start[e + 1]! - r }, (_, i) => r + i);
    findings.push({
      kind,
      certainty: 'certain',
      segment: events.segment[e]!,
      event: readings.event[r]!,
      instrument: readings.instrument[r]!,
      readings: own,
      seen: [{ name: days < 0 ? 'days before' : 'days after', value: Math.abs(days), unit: 'd' }],
      says: `The test is dated ${isoDay(events.day[e]!)}, ${Math.abs(days)} days ${days < 0 ? 'before' : 'after'} ${limitName} (${isoDay(limit)}): one of the dates is wrong, or the test is another segment’s.`,
      wouldChange:
        'Without the test the segment’s record is shorter; with the right date or segment it tells a different slope.',
      cure: { do: 'leave out' },
      growth: growthEffect(comparable, events.segment[e]!, new Map(own.map((i) => [i, Number.NaN]))),
    });
  }
}
