import type { Cure, FindingKind } from '../growth/findings/finding.ts';
import type { Ruling } from '../growth/findings/rule.ts';
import type { GivenVerdict } from '../store/verdicts.ts';
import type { ColumnsRead } from './fleet-columns.ts';

/** What a treatment keeps of its finding: enough to do it, and to say it when the finding is no longer found. */
export interface Treatment {
  readonly cure: Cure;
  /** Readings by their test and their place in it (phases in order, steps within). */
  readonly tests: readonly { readonly id: string; readonly readings: readonly number[] }[];
  /** Days of an instrument's stretch, both within it: what is read in later falls under it too. */
  readonly fromDay?: number;
  readonly toDay?: number;
  readonly testOwnerId: string | null;
  readonly on: string | null;
  readonly phase: string | null;
  readonly says: string;
  readonly wouldChange: string;
  readonly certainty: 'certain' | 'likely' | 'weak';
}

export const treatmentFrom = (text: string): Treatment => JSON.parse(text) as Treatment;

type Recorded = Pick<ColumnsRead, 'recorded' | 'ordinalById' | 'firstOfTest' | 'instruments'>;

/** Tests that verdicts name. */
export const testsIn = (verdicts: readonly GivenVerdict[]): ReadonlySet<string> =>
  new Set(verdicts.flatMap(({ what }) => (what === null ? [] : treatmentFrom(what).tests.map((test) => test.id))));

/** A verdict in the ordinals of the columns; undefined where it says nothing to the fit. */
export function rulingOf(read: Recorded, given: GivenVerdict): Ruling | undefined {
  if (given.what === null) return undefined;
  const treatment = treatmentFrom(given.what);
  const segment = given.segmentId === null ? -1 : (read.ordinalById.get(given.segmentId) ?? -1);
  const readings =
    given.segmentId === null
      ? readingsOfInstrument(read, read.instruments.indexOf(given.instrumentId ?? ''), treatment)
      : treatment.tests.flatMap(({ id, readings }) => {
          const first = read.firstOfTest.get(id);
          // A test since corrected is another test, on which nothing has been decided.
          return first === undefined ? [] : readings.map((place) => first + place);
        });
  return { verdict: given.verdict, kind: given.kind as FindingKind, cure: treatment.cure, segment, readings };
}

function readingsOfInstrument({ recorded }: Recorded, instrument: number, { fromDay = 0, toDay = 0 }: Treatment) {
  const { readings } = recorded;
  const found: number[] = [];
  for (let r = 0; instrument >= 0 && r < readings.count; r++)
    if (readings.instrument[r] === instrument && readings.day[r]! >= fromDay && readings.day[r]! <= toDay)
      found.push(r);
  return found;
}
