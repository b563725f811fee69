import type { Cure, FindingKind } from '../growth/findings/finding.ts';
import type { Ruling } from '../growth/findings/rule.ts';
import { readingsOfSegment } from '../store/segment.ts';
import type { Fleet } from '../store/sql.ts';
import { type GivenVerdict, givenVerdicts } from '../store/verdicts.ts';
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

type Recorded = Pick<ColumnsRead, 'recorded' | 'ordinalById' | 'firstReading' | 'instruments'>;

/** The owner's verdicts in the ordinals of the columns; those without a treatment say nothing to the fit. */
export function rulingsOf(fleet: Fleet, read: Recorded, asOf: string): Ruling[] {
  return givenVerdicts(fleet).flatMap((given) => rulingOf(fleet, read, asOf, given) ?? []);
}

export function rulingOf(fleet: Fleet, read: Recorded, asOf: string, given: GivenVerdict): Ruling | undefined {
  if (given.what === null) return undefined;
  const treatment = treatmentFrom(given.what);
  const segment = given.segmentId === null ? -1 : (read.ordinalById.get(given.segmentId) ?? -1);
  const readings =
    given.segmentId === null
      ? readingsOfInstrument(read, read.instruments.indexOf(given.instrumentId ?? ''), treatment)
      : readingsOfTests(fleet, read, asOf, given.segmentId, treatment);
  return { verdict: given.verdict, kind: given.kind as FindingKind, cure: treatment.cure, segment, readings };
}

function readingsOfTests(fleet: Fleet, read: Recorded, asOf: string, segmentId: string, treatment: Treatment) {
  const wanted = new Map(treatment.tests.map((test) => [test.id, new Set(test.readings)]));
  const first = read.firstReading[read.ordinalById.get(segmentId) ?? -1];
  if (wanted.size === 0 || first === undefined) return [];
  const found: number[] = [];
  let test = '';
  let place = 0;
  readingsOfSegment(fleet, segmentId, asOf).forEach((row, i) => {
    place = row.test_event_id === test ? place + 1 : 0;
    test = row.test_event_id;
    if (wanted.get(test)?.has(place)) found.push(first + i);
  });
  return found;
}

function readingsOfInstrument({ recorded }: Recorded, instrument: number, { fromDay = 0, toDay = 0 }: Treatment) {
  const { readings } = recorded;
  const found: number[] = [];
  for (let r = 0; instrument >= 0 && r < readings.count; r++)
    if (readings.instrument[r] === instrument && readings.day[r]! >= fromDay && readings.day[r]! <= toDay)
      found.push(r);
  return found;
}
