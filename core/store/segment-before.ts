import { recordColumns } from './record-columns.ts';
import { type Fleet, prepared } from './sql.ts';
import type { SegmentTable } from './tables.ts';

/** What of a segment a rule on retests, or what it asks of the tests, counts by. */
type Counted = Pick<
  SegmentTable,
  | 'rated_kv'
  | 'insulation'
  | 'alternate_supply'
  | 'critical_load'
  | 'length_m'
  | 'conductor_diameter_mm'
  | 'insulation_thickness_mm'
>;

export interface SegmentBefore extends Counted {
  readonly segmentId: string;
  /** Days on which it was written and on which an edit ended it; '' for what a segment was first recorded as. */
  readonly from: string;
  readonly until: string;
}

const columns = recordColumns.segment;
const counted: readonly (keyof Counted)[] = [
  'rated_kv',
  'insulation',
  'alternate_supply',
  'critical_load',
  'length_m',
  'conductor_diameter_mm',
  'insulation_thickness_mm',
];
const differs = counted
  .map((column) => `json_extract(c.before, '$[${columns.indexOf(column)}]') is not s.${column}`)
  .join(' or ');

// The table of earlier versions leads: a fleet in which few segments were edited is asked little, however large it is.
const earlier = `select c.entity_id as segmentId, c.before as content, substr(k.at, 1, 10) as until,
    case when exists (select 1 from ledger_change p where p.entity = 'segment' and p.entity_id = c.entity_id
      and p.seq = c.before_seq) then substr(b.at, 1, 10) else '' end as "from"
  from ledger_change c cross join segment s on s.id = c.entity_id
    join ledger k on k.seq = c.seq join ledger b on b.seq = c.before_seq
  where c.entity = 'segment' and (${differs})`;

interface Row {
  readonly segmentId: string;
  readonly content: string;
  readonly from: string;
  readonly until: string;
}

function asWritten({ content, ...row }: Row): SegmentBefore {
  const values = JSON.parse(content) as unknown[];
  const fields = counted.map((column) => [column, values[columns.indexOf(column)]]);
  return { ...row, ...(Object.fromEntries(fields) as Counted) };
}

/** Earlier versions of segments in which a field that a rule counts by was not what it is now; by segment, oldest first. */
export const segmentsBefore = (fleet: Fleet): SegmentBefore[] =>
  (prepared(fleet, `${earlier} order by c.entity_id, c.seq`).all() as Row[]).map(asWritten);

export const segmentBefore = (fleet: Fleet, segmentId: string): SegmentBefore[] =>
  (prepared(fleet, `${earlier} and c.entity_id = ? order by c.seq`).all(segmentId) as Row[]).map(asWritten);
