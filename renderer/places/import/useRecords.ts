import { useMemo, useState } from 'react';
import type { InputOf, OutputOf } from '../../../core/contract/asks/index.ts';
import type { PreviewedFile, SegmentCandidate } from '../../../core/contract/shapes/records.ts';

export type Preview = OutputOf<'records.preview'>;
type Phase = 'A' | 'B' | 'C';
export type Purpose = NonNullable<InputOf<'records.accept'>['files'][number]['purpose']>;
export const purposes: readonly Purpose[] = ['acceptance', 'maintenance', 'after_repair'];

/** What a person has said of a file; it begins as what the file and its neighbours say. */
export interface Choice {
  readonly chosen: boolean;
  readonly segmentId: string | null;
  readonly phase: Phase | null;
  readonly testedOn: string | null;
  readonly insulationTempC: number | null;
  readonly instrumentId: string | null;
  readonly crew: string | null;
  readonly purpose: Purpose | null;
  /** It corrects the test that has a reading of its phase and day already. */
  readonly corrects: boolean;
  /** Segments found by hand, beside the candidates. */
  readonly found: readonly SegmentCandidate[];
}

const begun = (file: PreviewedFile): Choice => ({
  chosen: file.matched,
  segmentId: file.candidates[0] && file.candidates[0].score >= 0.6 ? file.candidates[0].segmentId : null,
  phase: file.phase,
  testedOn: file.testedOn,
  insulationTempC: file.insulationTempC,
  instrumentId: file.instrument?.id ?? null,
  crew: file.crew,
  purpose: null,
  corrects: false,
  found: [],
});

/** The test that a file may correct: as long as it is taken for the segment, phase and day it was found under. */
export const correctable = (file: PreviewedFile, choice: Choice): PreviewedFile['earlier'] =>
  choice.segmentId === file.candidates[0]?.segmentId && choice.phase === file.phase && choice.testedOn === file.testedOn
    ? file.earlier
    : null;

/** What stands between a file and being taken in; empty where nothing does. */
export function missing(choice: Choice): string[] {
  const lacks: string[] = [];
  if (choice.segmentId === null) lacks.push('segment');
  if (choice.phase === null) lacks.push('phase');
  if (choice.testedOn === null || choice.testedOn === '') lacks.push('day');
  return lacks;
}

/** The files of a preview with what a person has said of each. */
export function useRecords(preview: Preview) {
  const [said, setSaid] = useState<ReadonlyMap<string, Partial<Choice>>>(new Map());
  const choices = useMemo(
    () => new Map(preview.files.map((file) => [file.key, { ...begun(file), ...said.get(file.key) }])),
    [preview, said],
  );
  const set = (keys: readonly string[], words: Partial<Choice>): void => {
    const next = new Map(said);
    for (const key of keys) next.set(key, { ...next.get(key), ...words });
    setSaid(next);
  };
  const ready = preview.files.filter((file) => {
    const choice = choices.get(file.key)!;
    return file.verdict === 'new' && choice.chosen && missing(choice).length === 0;
  });
  const accepted: InputOf<'records.accept'>['files'] = ready.map((file) => {
    const choice = choices.get(file.key)!;
    return {
      key: file.key,
      segmentId: choice.segmentId as InputOf<'records.accept'>['files'][number]['segmentId'],
      phase: choice.phase!,
      testedOn: choice.testedOn!,
      method: file.method,
      insulationTempC: choice.insulationTempC,
      instrumentId: choice.instrumentId as InputOf<'records.accept'>['files'][number]['instrumentId'],
      crew: choice.crew,
      purpose: choice.purpose,
      supersedes: choice.corrects ? (correctable(file, choice)?.testId ?? null) : null,
    };
  });
  return { choices, set, ready, accepted };
}
