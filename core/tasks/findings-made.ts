import type { Finding } from '../contract/asks/findings.ts';
import type { SegmentId } from '../contract/ids.ts';
import { refuse } from '../contract/problem.ts';
import type { InstrumentStretch } from '../growth/findings/context.ts';
import { findFindings } from '../growth/findings/findFindings.ts';
import { type FindingKind, isoDay, phaseNames, roughly, type Finding as Seen } from '../growth/findings/finding.ts';
import { fitGrowth } from '../growth/fitGrowth.ts';
import type { GrowthFit } from '../growth/growthFit.ts';
import { calibrationsOf, eventsOfSegment, instrumentNames } from '../store/segment.ts';
import type { Fleet } from '../store/sql.ts';
import { type GivenVerdict, givenVerdicts } from '../store/verdicts.ts';
import { dayOf } from './days.ts';
import type { Desk } from './desk.ts';
import { type Effects, effectsOf, untilJudged } from './finding-effects.ts';
import { type ColumnsRead, readColumns } from './fleet-columns.ts';
import { frameOf } from './frame.ts';
import { keep, keptKind, keptNow, revisionFor } from './kept-answers.ts';
import { pack, unpack } from './pack.ts';
import { rulingOf, type Treatment, treatmentFrom } from './rulings.ts';
import { onTheSpotSegments, standingsName } from './standings.ts';
import { measuredCapacitances } from './trace-capacitances.ts';

/** A finding with what a verdict on it would write. */
export interface MadeFinding {
  readonly finding: Finding;
  /** Null where only an older verdict without one is known. */
  readonly treatment: {
    readonly kind: string;
    readonly segmentId: string | null;
    readonly instrumentId: string | null;
    readonly what: Treatment;
  } | null;
}

/** Raise the edition with every change of what is found or said; the fit's own stands beside it. */
const kind = keptKind({
  name: `findings, edition 3, of ${standingsName}`,
  passesOver: ['splice', 'termination', 'source_file', 'person', 'policy', 'excuse', 'cost', 'plan', 'layout'],
});

/** Findings as of a day: kept for this revision, or looked for now. */
export function findingsAsOf(desk: Desk, asOf: string): readonly MadeFinding[] {
  const { fleet } = desk;
  const revision = revisionFor(fleet, kind);
  const kept = keptNow(fleet, kind, asOf);
  if (kept) return unpack(kept.bytes).plain as MadeFinding[];
  const made = make(desk, asOf);
  keep(desk, kind, asOf, revision, () => pack(made, {}));
  return made;
}

/** For writes, which must not keep others waiting: on a large fleet refuses where nobody has looked yet. */
export function findingsFor(desk: Desk, asOf: string): readonly MadeFinding[] {
  const large = frameOf(desk.fleet).rows.length > onTheSpotSegments;
  if (large && !keptNow(desk.fleet, kind, asOf))
    throw refuse('not-ready', 'The findings of this revision are not made yet: open their list, then judge.');
  return findingsAsOf(desk, asOf);
}

function make(desk: Desk, asOf: string): MadeFinding[] {
  const { fleet } = desk;
  const read = readColumns(desk, asOf);
  const fit = fitGrowth(read.columns, {}, (share) => {
    desk.checkStop();
    desk.progress(Math.round(share * 100), 100, 'fitting growth');
  });
  desk.progress(0, 0, 'looking through the readings');
  const found = findFindings(read.recorded, {
    retiredDay: Float64Array.from(read.segments, (s) => (s.retiredOn ? dayOf(s.retiredOn) : Number.NaN)),
    todayDay: dayOf(asOf),
    overdue: overdueStretches(fleet, read, asOf),
    repaired: repairedReadings(fit),
    capacitances: measuredCapacitances(fleet, read, asOf),
  });
  const verdicts = givenVerdicts(fleet);
  const retired = Uint8Array.from(read.segments, (s) => (s.retiredOn !== null && s.retiredOn <= asOf ? 1 : 0));
  desk.checkStop();
  const keys = keysIn(fleet, read, asOf);
  const gone = goneFindings(read, verdicts, new Set(found.map((seen) => keys(seen).key)));
  const all = [...found, ...gone.map(([, seen]) => seen)];
  const effects = effectsOf(read, fit, all, retired);
  const given = new Map(verdicts.map((verdict) => [verdict.findingKey, verdict]));
  const words = (seen: Seen, told: Told) => inWords(seen, told, fit, effects, given.get(told.key));
  return [
    ...found.map((seen) => words(seen, keys(seen))),
    ...gone.map(([verdict, seen]) => words(seen, toldOf(fleet, verdict))),
  ];
}

/** What the growth model itself repaired for this fit. */
function repairedReadings({ model }: GrowthFit): { reading: number[]; lnShift: number[] } {
  const reading: number[] = [];
  const lnShift: number[] = [];
  model.shift.forEach((shift, r) => {
    if (shift === 0 || Number.isNaN(model.prepared.log[r]!)) return;
    reading.push(r);
    lnShift.push(-shift);
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

/** A finding in the owner's own ids. */
interface Told {
  readonly key: string;
  readonly segment: Finding['segment'];
  readonly instrumentId: string | null;
  readonly instrument: string | null;
  readonly testId: string | null;
  readonly testOwnerId: string | null;
  readonly on: string | null;
  readonly phase: string | null;
  readonly tests: Treatment['tests'];
}

/** Says what each finding is about in the owner's own ids, so that it stays the same after another import or fit. */
function keysIn(fleet: Fleet, read: ColumnsRead, asOf: string): (seen: Seen) => Told {
  const frame = frameOf(fleet);
  const instruments = instrumentNames(fleet);
  const { readings } = read.recorded;
  return (seen) => {
    const row = seen.segment >= 0 ? frame.rows[seen.segment] : undefined;
    const events = row && seen.readings.length > 0 ? eventsOfSegment(fleet, row.id, asOf) : [];
    const firstEvent = row ? readings.event[read.firstReading[seen.segment]!]! : 0;
    const test = seen.event >= 0 ? events[seen.event - firstEvent] : undefined;
    const phases = [...new Set(seen.readings.map((r) => readings.phase[r]!))];
    const phase = seen.event >= 0 && phases.length === 1 ? phaseNames[phases[0] as 0 | 1 | 2] : null;
    const instrumentId = seen.instrument >= 0 && !row ? read.instruments[seen.instrument]! : null;
    const instrument = instrumentId === null ? null : (instruments.get(instrumentId) ?? null);
    const firstDay = seen.readings.length > 0 ? isoDay(readings.day[seen.readings[0]!]!) : null;
    const parts = [seen.kind, row?.ownerId, test?.owner_id, phase, instrument, instrument ? firstDay : null];
    const byTest = new Map<string, number[]>();
    for (const r of row ? seen.readings : []) {
      const event = events[readings.event[r]! - firstEvent]!;
      let start = r;
      while (start > 0 && readings.event[start - 1] === readings.event[r]) start--;
      byTest.set(event.id, [...(byTest.get(event.id) ?? []), r - start]);
    }
    return {
      key: parts.filter((part) => part).join(' · '),
      segment: row ? { id: row.id as SegmentId, name: row.name, ownerId: row.ownerId } : null,
      instrumentId,
      instrument,
      testId: test?.id ?? null,
      testOwnerId: test?.owner_id ?? null,
      on: test?.tested_on ?? firstDay,
      phase,
      tests: [...byTest].map(([id, places]) => ({ id, readings: places })),
    };
  };
}

/** Verdicts whose finding no longer shows (a repair that was dismissed, a test since corrected), as findings. */
function goneFindings(
  read: ColumnsRead,
  verdicts: readonly GivenVerdict[],
  there: ReadonlySet<string>,
): [GivenVerdict, Seen][] {
  return verdicts.flatMap((given): [GivenVerdict, Seen][] => {
    const ruling = there.has(given.findingKey) ? undefined : rulingOf(read, given);
    if (!ruling || given.what === null) return [];
    const { says, wouldChange, certainty } = treatmentFrom(given.what);
    const event = ruling.readings.length > 0 ? read.recorded.readings.event[ruling.readings[0]!]! : -1;
    const instrument = given.instrumentId === null ? -1 : read.instruments.indexOf(given.instrumentId);
    const growth = { known: false, because: 'the finding no longer shows' } as const;
    return [[given, { ...ruling, certainty, event, instrument, seen: [], says, wouldChange, growth }]];
  });
}

function toldOf(fleet: Fleet, given: GivenVerdict): Told {
  const { testOwnerId, on, phase, tests } = treatmentFrom(given.what!);
  const row =
    given.segmentId === null ? undefined : frameOf(fleet).rows[frameOf(fleet).ordinalById.get(given.segmentId)!];
  return {
    key: given.findingKey,
    segment: row ? { id: row.id as SegmentId, name: row.name, ownerId: row.ownerId } : null,
    instrumentId: given.instrumentId,
    instrument: null,
    testId: null,
    testOwnerId,
    on,
    phase,
    tests,
  };
}

/** What accepting it changes, and the plainest reading of that: a straight line through the segment's own tests. */
function effectWords({ wouldChange, growth }: Seen): string {
  if (!growth.known) return wouldChange;
  const [then, now] = [growth.thenPercentPerYear, growth.nowPercentPerYear].map(roughly);
  return then === now
    ? wouldChange
    : `${wouldChange} A straight line through the segment’s own tests would grow ${then} % a year instead of ${now} %.`;
}

function inWords(
  seen: Seen,
  told: Told,
  fit: GrowthFit,
  effects: Effects,
  given: GivenVerdict | undefined,
): MadeFinding {
  const { key, segment, testOwnerId, on, phase, instrument, instrumentId, tests } = told;
  const says = instrument ? `Instrument ${instrument}: ${seen.says}` : seen.says;
  const finding: Finding = {
    key,
    kind: seen.kind,
    segment,
    testOwnerId,
    on,
    phase,
    seen: says,
    effect: effectWords(seen),
    untilJudged: untilJudged(seen, fit),
    certainty: seen.certainty,
    places: effects.placesOf(seen),
    ranking: given?.what ? effects.inWords(seen) : `${untilJudged(seen, fit)} ${effects.inWords(seen)}`,
    verdict: given
      ? {
          verdict: given.verdict,
          reason: given.reason,
          who: given.who,
          on: given.at.slice(0, 10),
          changesNumbers: given.what !== null,
        }
      : null,
  };
  const days = fit.model.columns.readings.day;
  const stretch =
    segment === null && seen.readings.length > 0
      ? { fromDay: days[seen.readings[0]!]!, toDay: days[seen.readings[0]!]! }
      : undefined;
  for (const r of stretch ? seen.readings : []) {
    stretch!.fromDay = Math.min(stretch!.fromDay, days[r]!);
    stretch!.toDay = Math.max(stretch!.toDay, days[r]!);
  }
  const { cure, wouldChange, certainty } = seen;
  return {
    finding,
    treatment: {
      kind: seen.kind satisfies FindingKind,
      segmentId: segment?.id ?? null,
      instrumentId,
      what: { cure, tests, ...stretch, testOwnerId, on, phase, says, wouldChange, certainty },
    },
  };
}
