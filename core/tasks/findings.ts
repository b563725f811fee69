import type { Finding, findingsAsks } from '../contract/asks/findings.ts';
import type { OutputOf } from '../contract/asks/index.ts';
import type { SegmentId } from '../contract/ids.ts';
import { refuse } from '../contract/problem.ts';
import type { InstrumentStretch } from '../growth/findings/context.ts';
import { findFindings } from '../growth/findings/findFindings.ts';
import { isoDay, phaseNames, roughly, type Finding as Seen } from '../growth/findings/finding.ts';
import { flag } from '../growth/normalise.ts';
import { revisionOf } from '../store/ledger.ts';
import { calibrationsOf, eventsOfSegment, instrumentNames } from '../store/segment.ts';
import type { Fleet } from '../store/sql.ts';
import { allVerdicts, verdictFor } from '../store/verdicts.ts';
import { changing } from './change.ts';
import { dayOf } from './days.ts';
import { type Desk, today } from './desk.ts';
import { type ColumnsRead, readColumns } from './fleet-columns.ts';
import { type Frame, frameOf } from './frame.ts';
import { needRole } from './roles.ts';
import { type Standings, standingsAsOf } from './standings.ts';
import type { TasksOf } from './task.ts';

/** What the growth model repaired for its fit. */
function repairedReadings(standings: Standings): { reading: number[]; lnShift: number[] } {
  const reading: number[] = [];
  const lnShift: number[] = [];
  standings.readingFlag.forEach((code, r) => {
    if (code !== flag.repaired) return;
    reading.push(r);
    lnShift.push(-Math.log(standings.readingFactor[r]!));
  });
  return { reading, lnShift };
}

/** When each instrument was past its calibration due date, until it was calibrated again or until today. */
function overdueStretches(fleet: Fleet, read: ColumnsRead, asOf: string): InstrumentStretch[] {
  return read.instruments.flatMap((id, instrument) => {
    const spans = calibrationsOf(fleet, id).filter((span) => span.calibratedOn <= asOf);
    return spans.flatMap((span, i) => {
      const fromDay = 1 + (span.dueOn === null ? dayOf(span.calibratedOn) + 365 : dayOf(span.dueOn));
      const next = spans[i + 1];
      const toDay = next ? dayOf(next.calibratedOn) - 1 : dayOf(asOf);
      return toDay >= fromDay ? [{ instrument, fromDay, toDay }] : [];
    });
  });
}

/** The test a finding is about: events of a segment stand in the columns in the order of the store. */
function testOf(fleet: Fleet, read: ColumnsRead, seen: Seen, asOf: string) {
  if (seen.event < 0 || seen.segment < 0) return undefined;
  const first = read.columns.readings.event[read.firstReading[seen.segment]!]!;
  return eventsOfSegment(fleet, read.segments[seen.segment]!.id, asOf)[seen.event - first];
}

/** Says what the finding is about in the owner's own ids, so that it stays the same after another import or fit. */
function keyOf(parts: readonly (string | null | undefined)[]): string {
  return parts.filter((part) => part).join(' · ');
}

function effectWords(seen: Seen): string {
  if (!seen.growth.known) return seen.wouldChange;
  const { nowPercentPerYear, thenPercentPerYear } = seen.growth;
  return `${seen.wouldChange} A straight line through the segment’s own tests would grow ${roughly(thenPercentPerYear)} % a year instead of ${roughly(nowPercentPerYear)} %.`;
}

function inWords(
  desk: Desk,
  read: ColumnsRead,
  frame: Frame,
  seen: Seen,
  instruments: ReadonlyMap<string, string>,
  asOf: string,
): Omit<Finding, 'verdict'> {
  const row = seen.segment >= 0 ? frame.rows[seen.segment] : undefined;
  const test = testOf(desk.fleet, read, seen, asOf);
  const phases = [...new Set(seen.readings.map((r) => read.columns.readings.phase[r]!))];
  const phase = seen.event >= 0 && phases.length === 1 ? phaseNames[phases[0] as 0 | 1 | 2] : null;
  const instrument = seen.instrument >= 0 && seen.segment < 0 ? read.instruments[seen.instrument]! : null;
  const name = instrument === null ? null : (instruments.get(instrument) ?? null);
  const firstDay = seen.readings.length > 0 ? isoDay(read.columns.readings.day[seen.readings[0]!]!) : null;
  return {
    key: keyOf([seen.kind, row?.ownerId, test?.owner_id, phase, name, name ? firstDay : null]),
    kind: seen.kind,
    segment: row ? { id: row.id as SegmentId, name: row.name, ownerId: row.ownerId } : null,
    testOwnerId: test?.owner_id ?? null,
    on: test?.tested_on ?? firstDay,
    phase,
    seen: name ? `Instrument ${name}: ${seen.says}` : seen.says,
    effect: effectWords(seen),
  };
}

/** Everything in the data that looks wrong, with the owner's verdicts so far. */
export function findingsAsOf(desk: Desk, asOf: string): Finding[] {
  const standings = standingsAsOf(desk, asOf);
  const read = readColumns(desk, asOf);
  const frame = frameOf(desk.fleet);
  desk.progress(0, 0, 'looking through the readings');
  const found = findFindings(read.columns, {
    retiredDay: Float64Array.from(read.segments, (s) => (s.retiredOn ? dayOf(s.retiredOn) : Number.NaN)),
    todayDay: dayOf(asOf),
    overdue: overdueStretches(desk.fleet, read, asOf),
    repaired: repairedReadings(standings),
  });
  const instruments = instrumentNames(desk.fleet);
  const verdicts = new Map(allVerdicts(desk.fleet).map((verdict) => [verdict.finding_key, verdict]));
  return found.map((seen) => {
    desk.checkStop();
    const words = inWords(desk, read, frame, seen, instruments, asOf);
    const verdict = verdicts.get(words.key);
    return {
      ...words,
      verdict: verdict ? { verdict: verdict.verdict as 'accepted' | 'dismissed', reason: verdict.reason } : null,
    };
  });
}

function summary(findings: readonly Finding[]): OutputOf<'findings.list'>['sentence'] {
  if (findings.length === 0) return 'Nothing in the data looks wrong.';
  const counts = new Map<string, number>();
  for (const finding of findings) counts.set(finding.kind, (counts.get(finding.kind) ?? 0) + 1);
  const open = findings.filter((finding) => finding.verdict === null).length;
  const kinds = [...counts].sort((a, b) => b[1] - a[1]).map(([kind, n]) => `${kind} ${n}`);
  return `${findings.length} findings, ${open} without a verdict: ${kinds.join(', ')}.`;
}

export const findingsTasks: TasksOf<keyof typeof findingsAsks> = {
  'findings.list'(desk, { asOf }) {
    const findings = findingsAsOf(desk, asOf ?? today(desk));
    return { sentence: summary(findings), findings };
  },

  'finding.decide'(desk, { key, verdict, reason }) {
    if (verdict === 'dismissed') needRole(desk, 'approver', 'Dismissing a finding');
    changing(desk, (change) => {
      const before = verdictFor(desk.fleet, key);
      const after = { finding_key: key, verdict, reason };
      if (before?.verdict === verdict && before.reason === reason)
        throw refuse('bad-input', 'This verdict is already given.', { where: 'verdict' });
      const id = before ? before.id : change.add('finding_verdict', after);
      if (before) change.update('finding_verdict', before, { id, ...after });
      change.seal(
        { what: verdict === 'accepted' ? 'accept finding' : 'dismiss finding', why: reason },
        {
          entity: 'finding_verdict',
          id,
          before: before ? { verdict: before.verdict, reason: before.reason } : null,
          after,
        },
      );
    });
    return { revision: revisionOf(desk.fleet) };
  },
};
