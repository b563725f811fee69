import type { TestRow, VerdictRow } from '../contract/asks/segment.ts';
import type { Fleet } from '../store/sql.ts';
import { type GivenVerdict, verdictsOnInstruments, verdictsOnSegment } from '../store/verdicts.ts';
import { dayOf } from './days.ts';
import { treatmentFrom } from './rulings.ts';

/** Verdicts that bear on a segment's numbers: on its own findings, and on instruments in the days they read it. */
export function verdictsOn(fleet: Fleet, segmentId: string, tests: readonly TestRow[]): VerdictRow[] {
  const own = verdictsOnSegment(fleet, segmentId);
  const instruments = verdictsOnInstruments(fleet).filter((given) => {
    const { fromDay = 0, toDay = 0 } = treatmentFrom(given.what!);
    return tests.some(
      ({ instrument, testedOn }) =>
        instrument?.id === given.instrumentId && dayOf(testedOn) >= fromDay && dayOf(testedOn) <= toDay,
    );
  });
  return [...own, ...instruments].map(rowOf);
}

function rowOf(given: GivenVerdict): VerdictRow {
  const { cure, on, phase, testOwnerId } = treatmentFrom(given.what!);
  return {
    kind: given.kind!,
    verdict: given.verdict,
    reason: given.reason,
    who: given.who,
    on: given.at.slice(0, 10),
    testOwnerId,
    testedOn: on,
    phase,
    does: cure.do === 'relabel' ? { do: 'relabel' } : cure,
  };
}
