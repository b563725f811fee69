import { counted } from './retest.ts';
import { type Fleet, prepared } from './sql.ts';

/** [segment_id, event id, tested_on, method, phase, step, voltage_kv, dwell_min, leakage_ua, below_floor, insulation_temp_c, outcome]. */
export type ResultRow = [
  string,
  string,
  string,
  string,
  string,
  number,
  number,
  number | null,
  number,
  number,
  number | null,
  string | null,
];

const columns = `e.segment_id, e.id, e.tested_on, e.method, r.phase, r.step, r.voltage_kv, r.dwell_min, r.leakage_ua,
  r.below_floor, r.insulation_temp_c, r.outcome`;

// Cross join keeps the order of the tables: events come segment by segment off their index, so nothing is sorted whole.
const readings = `select ${columns}
  from test_event e cross join reading r on r.test_event_id = e.id
  where e.superseded_by_id is null`;
const inOrder = 'order by e.segment_id, e.tested_on, e.id, r.phase, r.step';

/** Every reading in force up to a day, segment by segment, test by test. */
export const resultsUpTo = (fleet: Fleet, upTo: string): IterableIterator<ResultRow> =>
  prepared(fleet, `${readings} and e.tested_on <= ? ${inOrder}`).raw().iterate(upTo) as IterableIterator<ResultRow>;

/** The same from each segment's last test done on: that test, and what was broken off since. */
export const resultsSinceLast = (fleet: Fleet, upTo: string): IterableIterator<ResultRow> =>
  prepared(
    fleet,
    `select ${columns} from segment s
       cross join test_event e on e.segment_id = s.id and e.tested_on <= :upTo and e.tested_on >= coalesce(
         (select e.tested_on from test_event e where e.segment_id = s.id and e.tested_on <= :upTo and ${counted}
          order by e.tested_on desc limit 1), '')
       cross join reading r on r.test_event_id = e.id
     where e.superseded_by_id is null order by s.id, e.tested_on, e.id, r.phase, r.step`,
  )
    .raw()
    .iterate({ upTo }) as IterableIterator<ResultRow>;

export const resultsOfSegment = (fleet: Fleet, segmentId: string, upTo: string): ResultRow[] =>
  prepared(fleet, `${readings} and e.segment_id = ? and e.tested_on <= ? ${inOrder}`)
    .raw()
    .all(segmentId, upTo) as ResultRow[];

/** Events of which a trace shows the current rising while the voltage stood still. */
export function risingTraces(fleet: Fleet): Set<string> {
  const rows = prepared(
    fleet,
    `select distinct test_event_id from trace where json_extract(says, '$.reading.trend.value.rising') = 1`,
  )
    .pluck()
    .all() as string[];
  return new Set(rows);
}

export function risingTracesOf(fleet: Fleet, segmentId: string): Set<string> {
  const rows = prepared(
    fleet,
    `select distinct t.test_event_id from test_event e join trace t on t.test_event_id = e.id
     where e.segment_id = ? and json_extract(t.says, '$.reading.trend.value.rising') = 1`,
  )
    .pluck()
    .all(segmentId) as string[];
  return new Set(rows);
}
