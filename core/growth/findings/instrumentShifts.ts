import type { FleetColumns } from '../columns.ts';
import { type Comparable, eventValue } from './comparable.ts';
import type { InstrumentStretch } from './context.ts';
import { type Finding, isoDay, noGrowthEffect, roughly } from './finding.ts';
import {
  fewestEvents,
  gatherMonths,
  monthBins,
  monthDays,
  residuals,
  restlessness,
  type Stretch,
  sum,
  summarise,
  worstStretch,
} from './instrumentMonths.ts';

/** A stretch past the calibration due date is tried for itself alone, so less is asked of it. */
const surelyOverdue = 2.5;
/** 90 % interval. */
const reach = 1.645;
const mostFindings = 12;

/**
 * Stretches of months in which one instrument read high or low: its events stand out of line with what the same
 * segments show on other days and with what other instruments read in the same months. A step that never ends is a
 * stretch to the end. `shift` are unit slips, taken off first. Years with one instrument alone cannot be told from
 * seasons that spoil everything, so there the finding is weak. Stretches in which an instrument was past its calibration
 * due date are tried one by one, and need less to speak.
 */
export function findInstrumentShifts(
  fleet: FleetColumns,
  comparable: Comparable,
  shift: Float64Array,
  overdue: readonly InstrumentStretch[] = [],
): Finding[] {
  const findings: Finding[] = [];
  const { events } = comparable;
  const values = Float64Array.from({ length: events.count }, (_, e) => eventValue(events, comparable.y, e, shift));
  const months = gatherMonths(fleet, comparable);
  if (months.length === 0) return findings;
  // Each stretch found is taken off before the next is looked for: it spoils its segments' other comparisons.
  while (findings.length < mostFindings) {
    const residual = residuals(fleet, comparable, values);
    const unrest = restlessness(monthBins(months, residual, comparable.eventSpread));
    const worst = worstStretch(monthBins(months, residual, comparable.eventSpread, unrest));
    if (!worst) break;
    for (const e of worst.events) values[e]! -= worst.size;
    findings.push(describe(worst));
  }
  if (overdue.length === 0) return findings;
  const left = residuals(fleet, comparable, values);
  const unrest = restlessness(monthBins(months, left, comparable.eventSpread));
  for (const { instrument, fromDay, toDay } of overdue) {
    const near = months
      .filter(({ month }) => month >= Math.floor(fromDay / monthDays) && month <= Math.floor(toDay / monthDays))
      .map((month) => (month.instrument === instrument ? { ...month, events: month.events.filter(within) } : month));
    const own = monthBins(near, left, comparable.eventSpread, unrest).filter(
      (bin) => bin.month.instrument === instrument,
    );
    if (sum(own.map((bin) => bin.events)) < fewestEvents) continue;
    const stretch = summarise(own, own);
    if (Math.abs(stretch.size) > surelyOverdue * stretch.error) findings.push(describe(stretch, true));

    function within(e: number): boolean {
      return events.day[e]! >= fromDay && events.day[e]! <= toDay;
    }
  }
  return findings;

  function describe({ events: stretch, size, error, alone, instrument, whole }: Stretch, late = false): Finding {
    const days = Int32Array.from(stretch, (e) => events.day[e]!).sort();
    const from = days[0]!;
    const to = days[days.length - 1]!;
    const segments = new Set(stretch.map((e) => events.segment[e]!)).size;
    const percent = 100 * Math.expm1(size);
    const ends = [size - reach * error, size + reach * error].map((end) => 100 * Math.expm1(end)).sort((a, b) => a - b);
    const interval = ends.map((end) => `${end > 0 ? '+' : ''}${Math.round(end)}`).join(' to ');
    return {
      kind: 'instrument shift',
      certainty: alone || (late && Math.abs(size) < 4 * error) ? 'weak' : 'likely',
      segment: -1,
      event: -1,
      instrument,
      readings: stretch.flatMap((e) =>
        Array.from({ length: events.start[e + 1]! - events.start[e]! }, (_, i) => events.start[e]! + i),
      ),
      seen: [
        { name: 'reads', value: percent, unit: '%' },
        { name: 'standard error of ln', value: error, unit: '' },
        { name: 'tests', value: stretch.length, unit: '' },
        { name: 'segments', value: segments, unit: '' },
        { name: 'first day', value: from, unit: 'days since 1970-01-01' },
        { name: 'last day', value: to, unit: 'days since 1970-01-01' },
      ],
      says: `From ${isoDay(from)} to ${isoDay(to)}${late ? ', past its calibration due date,' : whole ? ', all its record,' : ''} this instrument read ${roughly(Math.abs(percent))} % ${size > 0 ? 'high' : 'low'} (90 % interval ${interval}): ${stretch.length} tests of ${segments} segments, all against the segments’ own other tests${alone ? '. No other instrument was at work then, so a common cause such as the weather cannot be ruled out' : ' and against the other instruments of those months'}.`,
      wouldChange: `Taken off, ${segments} segments lose a ${size > 0 ? 'rise' : 'fall'} that is not theirs.`,
      cure: { do: 'multiply', factor: Math.exp(-size) },
      growth: noGrowthEffect('it concerns many segments at once'),
    };
  }
}
