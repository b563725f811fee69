import { bareName, NameIndex } from './similar-names.ts';

/** What a file may be of. */
export interface Matchable {
  readonly ownerId: string;
  readonly name: string;
  readonly feederId: string;
  readonly phases: string;
  /** Of one phase, from the cable's dimensions; null where they are not recorded. */
  readonly capacitanceNf: number | null;
}

/** What a file says of itself. */
export interface FileToMatch {
  readonly segmentText: string | null;
  readonly phase: 'A' | 'B' | 'C' | null;
  readonly testedOn: string | null;
  readonly capacitanceNf: number | null;
}

export interface Candidate {
  /** Place among the segments. */
  readonly at: number;
  /** 0 to 1. */
  readonly score: number;
  readonly because: readonly string[];
  /** Measured over computed capacitance, less one; null where either is unknown. */
  readonly capacitanceApart: number | null;
}

export interface Match {
  /** Best first. */
  readonly candidates: readonly Candidate[];
  /** The file names the first candidate by its owner's id or its whole name, and no other has it. */
  readonly named: boolean;
  /** Clear enough to be shown as chosen. */
  readonly clear: boolean;
  readonly phase: 'A' | 'B' | 'C' | null;
  readonly phaseBecause: string | null;
}

/** From here a candidate is shown as chosen, if the next one is well behind. */
const clearScore = 0.8;
const clearLead = 0.1;
const leastSimilarity = 0.45;
const shownCandidates = 6;

/**
 * Candidates for the segment and phase of each file of one batch: what the file says, names alike, capacitance, and the
 * day's job (what the other files of the batch are of). `agrees` is the share within which capacitances agree.
 * Weights are ours; a person confirms.
 */
export function matchFiles(
  files: readonly FileToMatch[],
  segments: readonly Matchable[],
  agrees: number,
): readonly Match[] {
  const byBare = new Map<string, number[]>();
  segments.forEach((segment, at) => {
    for (const bare of new Set([bareName(segment.ownerId), bareName(segment.name)])) {
      if (bare === '') continue;
      byBare.set(bare, [...(byBare.get(bare) ?? []), at]);
    }
  });
  let index: NameIndex | null = null;
  const alike = (text: string) => {
    index ??= new NameIndex(segments.map((segment) => segment.name));
    return index.like(text, leastSimilarity, 12);
  };
  const first = files.map((file) => bySaying(file, segments, byBare, alike, agrees));
  const job = jobOf(files, first, segments);
  return files.map((file, i) => {
    const candidates = byJob(file, first[i]!, job, segments, agrees);
    const best = candidates[0];
    const chosen = best && isClear(candidates) ? segments[best.at]! : null;
    const phase = phaseFor(file, chosen, best?.at ?? null, job);
    return {
      candidates: candidates.slice(0, shownCandidates),
      named: first[i]!.length === 1 && first[i]![0]!.said === 1,
      clear: chosen !== null,
      ...phase,
    };
  });
}

interface Said extends Candidate {
  /** 1 where the file names it outright. */
  readonly said: number;
}

function bySaying(
  file: FileToMatch,
  segments: readonly Matchable[],
  byBare: ReadonlyMap<string, readonly number[]>,
  alike: (text: string) => { at: number; similarity: number }[],
  agrees: number,
): Said[] {
  const text = file.segmentText;
  if (text === null) return [];
  const exact = byBare.get(bareName(text)) ?? [];
  const inside = exact.length > 0 ? [] : tokensOf(text).flatMap((token) => byBare.get(bareName(token)) ?? []);
  const found: { at: number; said: number; because: string }[] =
    exact.length > 0
      ? exact.map((at) => ({ at, said: 1, because: `the file names '${text}'` }))
      : inside.length > 0
        ? [...new Set(inside)].map((at) => ({ at, said: 0.92, because: `the file's '${text}' has its id in it` }))
        : alike(text).map(({ at, similarity }) => ({
            at,
            said: 0.95 * similarity,
            because: `its name is like the file's '${text}'`,
          }));
  return found
    .map(({ at, said, because }) => {
      const apart = apartOf(file, segments[at]!);
      return {
        at,
        said,
        score: withCapacitance(said, apart, agrees),
        because: [because, ...capacitanceWords(apart, agrees)],
        capacitanceApart: apart,
      };
    })
    .sort(byScore);
}

/** Parts of a text with a digit in them: ids have one, words do not. */
const tokensOf = (text: string): string[] =>
  text.split(/[\s,;:/()]+/).filter((token) => /\d/.test(token) && token.length > 2);

const byScore = (a: Candidate, b: Candidate): number => b.score - a.score || a.at - b.at;

const apartOf = (file: FileToMatch, segment: Matchable): number | null =>
  file.capacitanceNf === null || segment.capacitanceNf === null ? null : file.capacitanceNf / segment.capacitanceNf - 1;

/** A capacitance that agrees makes likelier, one that does not makes doubtful; what is unknown says nothing. */
const withCapacitance = (score: number, apart: number | null, agrees: number): number =>
  apart === null ? score : Math.abs(apart) <= agrees ? score + (1 - score) * 0.3 : score * 0.85;

const capacitanceWords = (apart: number | null, agrees: number): string[] =>
  apart === null
    ? []
    : [
        Math.abs(apart) <= agrees
          ? 'its capacitance agrees'
          : `its capacitance does not agree (${apart > 0 ? '+' : '−'}${Math.round(Math.abs(apart) * 100)} %)`,
      ];

/** Days, segments and feeders of the batch, as far as they are clear. */
interface Job {
  /** Phases taken, by segment and day. */
  readonly taken: ReadonlyMap<string, ReadonlySet<string>>;
  readonly segments: ReadonlySet<number>;
  readonly feeders: ReadonlySet<string>;
}

const jobKey = (at: number, day: string | null): string => `${at} ${day ?? ''}`;

function jobOf(files: readonly FileToMatch[], first: readonly Said[][], segments: readonly Matchable[]): Job {
  const taken = new Map<string, Set<string>>();
  const at = new Set<number>();
  const feeders = new Set<string>();
  files.forEach((file, i) => {
    const best = first[i]![0];
    if (!best || !isClear(first[i]!)) return;
    at.add(best.at);
    feeders.add(segments[best.at]!.feederId);
    if (file.phase === null) return;
    const key = jobKey(best.at, file.testedOn);
    taken.set(key, (taken.get(key) ?? new Set()).add(file.phase));
  });
  return { taken, segments: at, feeders };
}

const isClear = (candidates: readonly Candidate[]): boolean =>
  candidates.length > 0 &&
  candidates[0]!.score >= clearScore &&
  (candidates.length === 1 || candidates[0]!.score - candidates[1]!.score >= clearLead);

/** What the day's job adds: a feeder that others of the batch are on; for a silent file, segments with a phase still open. */
function byJob(
  file: FileToMatch,
  said: readonly Said[],
  job: Job,
  segments: readonly Matchable[],
  agrees: number,
): Candidate[] {
  if (said.length > 0)
    return said
      .map((candidate) =>
        candidate.said < 1 && job.feeders.has(segments[candidate.at]!.feederId)
          ? {
              ...candidate,
              score: candidate.score + (1 - candidate.score) * 0.15,
              because: [...candidate.because, 'other files of the day are of its feeder'],
            }
          : candidate,
      )
      .sort(byScore);
  const open: Candidate[] = [];
  for (const at of job.segments) {
    const segment = segments[at]!;
    const taken = job.taken.get(jobKey(at, file.testedOn));
    const free = [...segment.phases].filter((phase) => !taken?.has(phase));
    if (free.length === 0 || (file.phase !== null && !free.includes(file.phase))) continue;
    const apart = apartOf(file, segment);
    open.push({
      at,
      score: withCapacitance(0.4, apart, agrees),
      because: [
        `other files of the day are of it, phase ${free.join(' and ')} is open`,
        ...capacitanceWords(apart, agrees),
      ],
      capacitanceApart: apart,
    });
  }
  return open.sort(byScore);
}

function phaseFor(
  file: FileToMatch,
  segment: Matchable | null,
  at: number | null,
  job: Job,
): Pick<Match, 'phase' | 'phaseBecause'> {
  if (file.phase !== null) return { phase: file.phase, phaseBecause: 'the file says so' };
  if (segment === null || at === null) return { phase: null, phaseBecause: null };
  if (segment.phases.length === 1) return { phase: segment.phases as 'A', phaseBecause: 'the segment has no other' };
  const taken = job.taken.get(jobKey(at, file.testedOn));
  const free = [...segment.phases].filter((phase) => !taken?.has(phase));
  return free.length === 1 && taken
    ? { phase: free[0] as 'A', phaseBecause: 'the other phases are in other files of the day' }
    : { phase: null, phaseBecause: null };
}
