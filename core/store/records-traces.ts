import { type Fleet, prepared } from './sql.ts';

export interface TraceRowOfTest {
  readonly id: string;
  readonly testId: string;
  readonly testOwnerId: string;
  readonly testedOn: string;
  readonly phase: string;
  readonly file: string;
  readonly sampleCount: number;
  readonly durationS: number;
  readonly codec: string;
  readonly samples: Uint8Array;
  readonly says: string;
}

/** Traces of one test, by phase. */
export function tracesOfTest(fleet: Fleet, testId: string): TraceRowOfTest[] {
  return prepared(
    fleet,
    `select t.id, t.test_event_id as testId, e.owner_id as testOwnerId, e.tested_on as testedOn, t.phase, f.name as file,
       t.sample_count as sampleCount, t.duration_s as durationS, t.codec, t.samples, t.says
     from trace t join test_event e on e.id = t.test_event_id join source_file f on f.id = t.source_file_id
     where t.test_event_id = ? order by t.phase, t.id`,
  ).all(testId) as TraceRowOfTest[];
}

/** Capacitances that the traces of tests in force up to a day show, nF; by segment. */
export const capacitancesInTraces = (fleet: Fleet, upTo: string): { segmentId: string; nf: number }[] =>
  prepared(
    fleet,
    `select segmentId, nf from (
       select e.segment_id as segmentId, json_extract(t.says, '$.reading.capacitanceNf.value.value') as nf
       from trace t join test_event e on e.id = t.test_event_id
       where e.superseded_by_id is null and e.tested_on <= ?)
     where nf > 0 order by segmentId, nf`,
  ).all(upTo) as { segmentId: string; nf: number }[];
