import type { InstrumentId, SegmentId, TestEventId } from '../contract/ids.ts';
import type { LayoutGuess, PreviewedFile, SegmentCandidate } from '../contract/shapes/records.ts';
import type { Candidate, Match } from '../intake/matching/match-files.ts';
import { threeFigures } from '../report/quantities.ts';
import { revisionOf } from '../store/ledger.ts';
import { filesAside } from '../store/records-files.ts';
import { type DayReadingRow, instrumentBySerial, readingsOnDay } from '../store/records-match.ts';
import { capacitanceDoubtShare } from '../trade/geometry.ts';
import { type Desk, today } from './desk.ts';
import { asideWords } from './records-aside.ts';
import { givenRecords } from './records-files.ts';
import { methodOf } from './records-method.ts';
import {
  isReadable,
  matchStudied,
  type ReadableFile,
  type Segment,
  type StudiedFile,
  segmentsOf,
  studyFiles,
} from './records-study.ts';
import { summaryOf } from './records-summary.ts';
import { calibrationWords } from './retest-safety.ts';
import type { Task } from './task.ts';

export const previewRecords: Task<'records.preview'> = async (desk, given) => {
  const { sorted, tables, testers } = await givenRecords(desk.fleet, given);
  return {
    revision: revisionOf(desk.fleet),
    files: previewed(desk, await studyFiles(desk, testers)),
    tables: sorted.subjectFiles.length > 0 || sorted.dataPackages.length > 0 || tables.length > 0,
  };
};

/** The studied files as a person sees them, each with the segments it may be of. */
export function previewed(desk: Desk, files: readonly StudiedFile[]): PreviewedFile[] {
  const readable = files.filter(isReadable);
  const segments = readable.length > 0 ? segmentsOf(desk) : [];
  const matches = matchStudied(readable, segments);
  const asideBefore = new Map(filesAside(desk.fleet).map((row) => [row.id, asideWords(row)]));
  const shown = files.map((studied): PreviewedFile => {
    const aside = studied.keptId === null ? null : (asideBefore.get(studied.keptId) ?? null);
    if (!isReadable(studied)) return { ...unreadable(studied), aside };
    return { ...readableFile(desk, studied, matches[readable.indexOf(studied)]!, segments), aside };
  });
  return onePhaseOnce(shown);
}

const basics = (studied: StudiedFile) => ({
  key: studied.key,
  name: studied.given.name,
  layout: layoutOf(studied),
  rows: studied.file?.preview.map((row) => [...row]) ?? [],
});

/** A file without samples to show: one that cannot be read, or one that the fleet has already. */
const unreadable = (studied: StudiedFile): Omit<PreviewedFile, 'aside'> => ({
  ...basics(studied),
  verdict: studied.knownAs === null ? 'refused' : 'known',
  because: studied.knownAs ?? studied.refused,
  named: [],
  reading: null,
  candidates: [],
  namesSegment: false,
  phase: null,
  phaseBecause: null,
  testedOn: null,
  method: 'dc_withstand',
  insulationTempC: null,
  instrument: null,
  crew: null,
  earlier: null,
  matched: false,
  warnings: [],
});

function layoutOf({ file, remembered }: StudiedFile): LayoutGuess | null {
  const layout = file?.layout;
  if (!layout) return null;
  return {
    fingerprint: layout.fingerprint,
    delimiter: layout.delimiter,
    decimal: layout.decimal,
    sheet: layout.sheet,
    columns: layout.columns.map((column) => ({ ...column })),
    confidence: layout.confidence,
    doubts: [...layout.doubts],
    remembered,
  };
}

function readableFile(
  desk: Desk,
  studied: ReadableFile,
  match: Match,
  segments: readonly Segment[],
): Omit<PreviewedFile, 'aside'> {
  const { file, reading } = studied;
  const { subject } = file;
  const candidates = match.candidates.map((candidate) => candidateOf(candidate, segments));
  const best = match.clear ? segments[match.candidates[0]!.at]! : null;
  const instrument = subject.instrumentSerial ? instrumentBySerial(desk.fleet, subject.instrumentSerial) : undefined;
  const sameDay =
    best === null || subject.testedOn === null ? [] : readingsOnDay(desk.fleet, best.id, subject.testedOn);
  const before = sameDay.find((row) => row.phase === match.phase);
  const blocking = best === null ? [] : blockingWords(desk, studied, best, match.phase, before);
  const verdict = studied.sameAs === null ? 'new' : 'twice';
  const named = instrument ? { id: instrument.id as InstrumentId, name: instrument.name } : null;
  return {
    ...basics(studied),
    verdict,
    because: studied.sameAs === null ? null : `the same bytes as ${studied.sameAs}`,
    named: file.named.map((value) => ({ ...value })),
    reading: summaryOf(studied.given.name, reading),
    candidates,
    namesSegment: match.named,
    phase: match.phase,
    phaseBecause: match.phaseBecause,
    testedOn: subject.testedOn,
    method: methodOf(reading),
    insulationTempC: subject.tempC,
    instrument: named,
    crew: subject.crew,
    earlier: before === undefined ? null : earlierOf(before, sameDay),
    matched:
      verdict === 'new' && best !== null && match.phase !== null && subject.testedOn !== null && blocking.length === 0,
    warnings: [...blocking, ...warningsOf(desk, studied, candidates[0], named)],
  };
}

const candidateOf = (candidate: Candidate, segments: readonly Segment[]): SegmentCandidate => {
  const { computed, ...segment } = segments[candidate.at]!;
  return {
    segmentId: segment.id as SegmentId,
    ownerId: segment.ownerId,
    name: segment.name,
    feeder: segment.feeder,
    phases: segment.phases,
    score: candidate.score,
    because: [...candidate.because],
    computedNf: computed.known
      ? { known: true, value: computed.value.nf, lo: computed.value.lowNf, hi: computed.value.highNf }
      : { known: false, because: computed.because },
    capacitanceApart: candidate.capacitanceApart,
  };
};

const earlierOf = (before: DayReadingRow, sameDay: readonly DayReadingRow[]): PreviewedFile['earlier'] => ({
  testId: before.testId as TestEventId,
  testOwnerId: before.testOwnerId,
  phases: [...new Set(sameDay.filter((row) => row.testId === before.testId).map((row) => row.phase))].join(''),
});

/** What must be settled by a person before the file is taken for a reading of the segment. */
function blockingWords(
  desk: Desk,
  { file }: ReadableFile,
  segment: Segment,
  phase: string | null,
  before: DayReadingRow | undefined,
): string[] {
  const { testedOn } = file.subject;
  const words: string[] = [];
  if (phase !== null && !segment.phases.includes(phase)) words.push(`${segment.name} has no phase ${phase}.`);
  if (testedOn === null) return words;
  if (testedOn > today(desk)) words.push(`The file says ${testedOn}, which is still to come.`);
  if (segment.retiredOn !== null && testedOn > segment.retiredOn)
    words.push(`${segment.name} was retired on ${segment.retiredOn}.`);
  if (before)
    words.push(
      `Phase ${phase} has a reading of that day already: test ${before.testOwnerId}, ${Number(before.leakageUa.toPrecision(4))} µA at ${before.voltageKv} kV.`,
    );
  return words;
}

/** What a person should look at; none of it keeps the file from being taken in. */
function warningsOf(
  desk: Desk,
  { file, reading }: ReadableFile,
  best: SegmentCandidate | undefined,
  instrument: { readonly id: string; readonly name: string } | null,
): string[] {
  const { subject, layout } = file;
  const words: string[] = [];
  const apart = best?.capacitanceApart ?? null;
  if (
    apart !== null &&
    Math.abs(apart) > capacitanceDoubtShare &&
    best?.computedNf.known &&
    reading.capacitanceNf.known
  )
    words.push(
      `The ramp shows ${threeFigures(reading.capacitanceNf.value.value)} nF; ${best.name} should have ${threeFigures(best.computedNf.value)} nF by its dimensions and length: wrong segment, wrong length, or an open end.`,
    );
  if (reading.trend.known && reading.trend.value.rising)
    words.push('The leakage rose while the voltage stood still: no withstand outranks that.');
  if (reading.tipUp.known && reading.tipUp.value.suspect)
    words.push('The resistance fell across the steps by more than is usually let pass.');
  if (!reading.leakageUa.known || !reading.resistanceMohm.known)
    words.push(
      `No leakage of its own: ${reading.leakageUa.known ? 'it lies below what the instrument resolves' : reading.leakageUa.because}. The reading is kept as an upper bound.`,
    );
  if (subject.testedOn === null)
    words.push(
      subject.testedOnText === null
        ? 'The file does not say when it was recorded.'
        : `The day '${subject.testedOnText}' can be read two ways.`,
    );
  if (subject.instrumentSerial !== null && instrument === null)
    words.push(`No instrument ${subject.instrumentSerial} is in the fleet.`);
  if (instrument !== null && subject.testedOn !== null) {
    const { says, holds } = calibrationWords(desk.fleet, instrument.id, subject.testedOn);
    if (!holds) words.push(`Instrument ${instrument.name}: ${says}.`);
  }
  return [...words, ...layout.doubts, ...file.findings];
}

/** Two files that claim the same phase of the same test cannot both be right: neither is taken without a word. */
function onePhaseOnce(files: readonly PreviewedFile[]): PreviewedFile[] {
  const claims = new Map<string, number>();
  const claim = (file: PreviewedFile) => `${file.candidates[0]?.segmentId} ${file.testedOn} ${file.phase}`;
  for (const file of files) if (file.matched) claims.set(claim(file), (claims.get(claim(file)) ?? 0) + 1);
  return files.map((file) =>
    file.matched && claims.get(claim(file))! > 1
      ? { ...file, matched: false, warnings: ['Another file claims the same phase of that day.', ...file.warnings] }
      : file,
  );
}
