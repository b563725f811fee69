import { type Matchable, matchFiles } from '../intake/matching/match-files.ts';
import type { SampleFile } from '../intake/samples/shapes.ts';
import { fileBySha256, testOfFile } from '../store/records-files.ts';
import { type MatchRow, segmentsToMatch } from '../store/records-match.ts';
import type { TraceReading } from '../trace/reading.ts';
import { type ComputedCapacitance, capacitanceDoubtShare, computedCapacitance } from '../trade/geometry.ts';
import type { Maybe } from '../trade/source.ts';
import type { Desk } from './desk.ts';
import { type GivenFile, keyOf, type UngivenFile } from './records-given.ts';
import { type ReadSampleFile, readByLayout, readingOf } from './records-read.ts';

/** A segment that files are held against. */
export interface Segment extends Matchable, MatchRow {
  readonly computed: Maybe<ComputedCapacitance>;
}

/** A file that was looked at: its samples, or why there are none. */
export interface StudiedFile {
  readonly key: string;
  readonly given: GivenFile | UngivenFile;
  readonly file: SampleFile | null;
  readonly remembered: boolean;
  readonly reading: TraceReading | null;
  /** Why it cannot be taken in; null where it can. */
  readonly refused: string | null;
  /** The test these bytes are already, in words. */
  readonly knownAs: string | null;
  readonly sameAs: string | null;
  /** The record in which the fleet keeps these bytes already. */
  readonly keptId: string | null;
}

export type ReadableFile = StudiedFile & {
  readonly given: GivenFile;
  readonly file: ReadSampleFile;
  readonly reading: TraceReading;
};
export const isReadable = (file: StudiedFile): file is ReadableFile => file.refused === null && file.reading !== null;

/** Reads the files one after another; `wanted` leaves the others unread. */
export async function studyFiles(
  desk: Desk,
  files: Iterable<GivenFile | UngivenFile>,
  wanted: (key: string) => boolean = () => true,
): Promise<StudiedFile[]> {
  const studied: StudiedFile[] = [];
  const seen = new Map<string, string>();
  for (const given of files) {
    desk.checkStop();
    desk.progress(studied.length, 0, `reading ${given.name}`);
    if ('because' in given) {
      studied.push({ ...nothing, key: keyOf(Buffer.from(given.path)), given, refused: given.because });
      continue;
    }
    const key = keyOf(given.bytes);
    if (!wanted(key)) continue;
    const sameAs = seen.get(key) ?? null;
    seen.set(key, given.name);
    const kept = fileBySha256(desk.fleet, Buffer.from(key, 'hex'));
    const known = kept && testOfFile(desk.fleet, kept.id);
    const base = { ...nothing, key, given, sameAs, keptId: kept?.id ?? null };
    if (known) {
      const knownAs = `test ${known.testOwnerId} of ${known.segment}, phase ${known.phase}`;
      studied.push({ ...base, knownAs, refused: null });
      continue;
    }
    const { file, remembered } = await readByLayout(desk.fleet, given);
    const reading = file.ok ? readingOf(file) : null;
    const because = file.ok ? (reading?.ok === false ? reading.because : null) : file.because;
    studied.push({ ...base, file, remembered, reading: reading?.ok ? reading : null, refused: because });
  }
  return studied;
}

const nothing = { file: null, remembered: false, reading: null, knownAs: null, sameAs: null, keptId: null };

export const segmentsOf = (desk: Desk): Segment[] =>
  segmentsToMatch(desk.fleet).map((row) => {
    const computed = computedCapacitance({
      insulation: row.insulation as Parameters<typeof computedCapacitance>[0]['insulation'],
      conductorDiameterMm: row.conductorDiameterMm,
      insulationThicknessMm: row.insulationThicknessMm,
      lengthKm: row.lengthM / 1000,
    });
    return { ...row, computed, capacitanceNf: computed.known ? computed.value.nf : null };
  });

/** Whose each readable file may be, in the order of the files. */
export const matchStudied = (files: readonly ReadableFile[], segments: readonly Segment[]) =>
  matchFiles(
    files.map(({ file, reading }) => ({
      segmentText: file.subject.segmentText,
      phase: file.subject.phase,
      testedOn: file.subject.testedOn,
      capacitanceNf: reading.capacitanceNf.known ? reading.capacitanceNf.value.value : null,
    })),
    segments,
    capacitanceDoubtShare,
  );
