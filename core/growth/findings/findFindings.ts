import type { FleetColumns } from '../columns.ts';
import { type Comparable, compare } from './comparable.ts';
import type { FindingsContext } from './context.ts';
import { findImpossibleDates } from './dates.ts';
import { findDuplicates } from './duplicates.ts';
import { type Finding, isoDay, phaseNames, roughly } from './finding.ts';
import { growthEffect } from './growthEffect.ts';
import { findInstrumentShifts } from './instrumentShifts.ts';
import { findLengthSlips } from './lengthSlips.ts';
import { findPhaseSwaps } from './phaseSwaps.ts';
import { findTemperatures } from './temperatures.ts';
import { findUnitSlips } from './unitSlips.ts';

/**
 * Everything in the readings that looks wrong, from plain comparisons that lean on no model of growth. Nothing is
 * changed: each finding says what was seen and what accepting it would do. In the order of the segments, those about
 * instruments last. Deterministic. Cost: linear in the readings but for a square in each segment's own tests.
 */
export function findFindings(fleet: FleetColumns, context: FindingsContext = {}): Finding[] {
  const comparable = compare(fleet);
  const slips = findUnitSlips(fleet, comparable);
  const findings = [
    ...slips.findings,
    ...repairedByTheModel(fleet, comparable, context, slips.shift),
    ...findLengthSlips(fleet, comparable, slips.level),
    ...findDuplicates(fleet, comparable),
    ...findImpossibleDates(fleet, comparable, context),
    ...findTemperatures(fleet, comparable),
    ...findPhaseSwaps(fleet, comparable, slips.shift),
  ];
  findings.sort((a, b) => a.segment - b.segment || a.event - b.event);
  return [...findings, ...findInstrumentShifts(fleet, comparable, slips.shift, context.overdue)];
}

/** What the growth model repaired and the plain comparison did not see. */
function repairedByTheModel(
  { readings }: FleetColumns,
  comparable: Comparable,
  { repaired }: FindingsContext,
  shift: Float64Array,
): Finding[] {
  const findings: Finding[] = [];
  for (let i = 0; repaired && i < repaired.reading.length; i++) {
    const r = repaired.reading[i]!;
    const lnShift = repaired.lnShift[i]!;
    if (shift[r] !== 0 || lnShift === 0) continue;
    const factor = Math.exp(-lnShift);
    const phase = phaseNames[readings.phase[r]!];
    findings.push({
      kind: 'unit slip',
      certainty: 'likely',
      segment: readings.segment[r]!,
      event: readings.event[r]!,
      instrument: readings.instrument[r]!,
      readings: [r],
      seen: [
        { name: `leakage, phase ${phase}`, value: readings.leakageUa[r]!, unit: 'µA' },
        { name: 'leakage as it might be', value: readings.leakageUa[r]! * factor, unit: 'µA' },
      ],
      says: `Phase ${phase} of the test of ${isoDay(readings.day[r]!)}: ${roughly(readings.leakageUa[r]!)} µA does not fit what the growth model expects of the segment; times ${roughly(factor)} it does.`,
      wouldChange: `Times ${roughly(factor)}, the reading joins the rest of the segment’s record; the growth shown already takes it so.`,
      leakageFactor: factor,
      growth: growthEffect(comparable, readings.segment[r]!, new Map([[r, lnShift]])),
    });
  }
  return findings;
}
