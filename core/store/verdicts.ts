import { type Fleet, prepared } from './sql.ts';
import type { FindingVerdictTable, TreatmentTable } from './tables.ts';

export function verdictFor(fleet: Fleet, findingKey: string): FindingVerdictTable | undefined {
  return prepared(fleet, 'select * from finding_verdict where finding_key = ?').get(findingKey) as
    | FindingVerdictTable
    | undefined;
}

/** A verdict with what it does, and who gave it when. */
export interface GivenVerdict {
  readonly id: string;
  readonly findingKey: string;
  readonly verdict: 'accepted' | 'dismissed';
  readonly reason: string;
  readonly who: string;
  /** ISO 8601 with its time. */
  readonly at: string;
  readonly kind: string | null;
  readonly segmentId: string | null;
  readonly instrumentId: string | null;
  readonly what: string | null;
}

const given = `select v.id, v.finding_key as findingKey, v.verdict, v.reason, l.who, l.at, t.kind,
    t.segment_id as segmentId, t.instrument_id as instrumentId, t.what
  from finding_verdict v join ledger l on l.seq = v.ledger_seq left join treatment t on t.finding_key = v.finding_key`;

/** Every verdict, in the order in which they were first given. */
export const givenVerdicts = (fleet: Fleet): GivenVerdict[] =>
  prepared(fleet, `${given} order by v.id`).all() as GivenVerdict[];

/** Verdicts on findings of one segment. */
export const verdictsOnSegment = (fleet: Fleet, segmentId: string): GivenVerdict[] =>
  prepared(fleet, `${given} where t.segment_id = ? order by v.id`).all(segmentId) as GivenVerdict[];

export function treatmentOf(fleet: Fleet, findingKey: string): TreatmentTable | undefined {
  return prepared(fleet, 'select * from treatment where finding_key = ?').get(findingKey) as TreatmentTable | undefined;
}

/** Verdicts on findings about instruments. */
export const verdictsOnInstruments = (fleet: Fleet): GivenVerdict[] =>
  prepared(fleet, `${given} where t.instrument_id is not null order by v.id`).all() as GivenVerdict[];
