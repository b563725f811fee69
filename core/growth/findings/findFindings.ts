import type { FleetColumns } from '../columns.ts';
import { findChargedLengths } from './chargedLengths.ts';
import { compare } from './comparable.ts';
import type { FindingsContext } from './context.ts';
import { findImpossibleDates } from './dates.ts';
import { findDuplicates } from './duplicates.ts';
import type { Finding } from './finding.ts';
import { findImpossible } from './impossible.ts';
import { findInstrumentShifts } from './instrumentShifts.ts';
import { findLengthSlips } from './lengthSlips.ts';
import { findPhaseSwaps } from './phaseSwaps.ts';
import { repairedByTheModel } from './repairedByTheModel.ts';
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
  const impossible = findImpossible(fleet, comparable, slips.shift, context);
  const charged = context.capacitances ?? [];
  // What a trace says of a length is better evidence than how strange the level is, either way.
  const measured = new Set(charged.map(({ segment }) => segment));
  const odd = new Set(impossible.flatMap((finding) => finding.readings));
  const findings = [
    // What no tester drives is said once.
    ...slips.findings.filter(({ kind, readings }) => kind !== 'wild reading' || !readings.every((r) => odd.has(r))),
    ...repairedByTheModel(fleet, comparable, context, slips.shift),
    ...impossible,
    ...findLengthSlips(fleet, comparable, slips.level).filter(({ segment }) => !measured.has(segment)),
    ...findChargedLengths(fleet, charged),
    ...findDuplicates(fleet, comparable),
    ...findImpossibleDates(fleet, comparable, context),
    ...findTemperatures(fleet, comparable),
    ...findPhaseSwaps(fleet, comparable, slips.shift),
  ];
  findings.sort((a, b) => a.segment - b.segment || a.event - b.event);
  return [...findings, ...findInstrumentShifts(fleet, comparable, slips.shift, context.overdue)];
}
