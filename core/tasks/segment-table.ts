import { refuse } from '../contract/problem.ts';
import { csvText } from '../report/csv.ts';
import { today } from './desk.ts';
import { frameOf } from './frame.ts';
import { writeOut } from './out-file.ts';
import { noDueDay, overdueNow } from './overdue.ts';
import { standingsAsOf } from './standings.ts';
import type { Task } from './task.ts';

const head =
  'segment_id,name,substation,feeder,insulation,rated_kv,length_m,energised_on,retired_on,tests,rank,growth_pct_per_yr,growth_lo,growth_hi,p_growing,level_ns_per_km,limit_ns_per_km,p_exceed_5y,crossing_year,overdue'.split(
    ',',
  );

const rounded = (value: number, digits: number): string =>
  Number.isNaN(value) ? '' : String(Number(value.toFixed(digits)));

/** Some segments as CSV, in the order asked for; what is not known is empty, as in the fleet folder. */
export const segmentTable: Task<'segment.table'> = (desk, { segmentIds, csv }) => {
  const frame = frameOf(desk.fleet);
  const standings = standingsAsOf(desk, today(desk));
  const overdue = overdueNow(desk);
  const rows = segmentIds.map((id) => {
    const i = frame.ordinalById.get(id);
    if (i === undefined) throw refuse('not-found', 'There is no such segment in this fleet.', { where: 'segmentIds' });
    const row = frame.rows[i]!;
    const ranked = standings.rank[i]! > 0;
    const known = (value: number, digits: number) => (ranked ? rounded(value, digits) : '');
    return [
      row.ownerId,
      row.name,
      row.substationName,
      row.feederName,
      row.insulation,
      row.ratedKv === null ? '' : String(row.ratedKv),
      rounded(row.lengthM, 2),
      row.energisedOn ?? '',
      row.retiredOn ?? '',
      String(standings.tests[i]),
      ranked ? String(standings.rank[i]) : '',
      known(standings.growth[i]!, 5),
      known(standings.growthLo[i]!, 5),
      known(standings.growthHi[i]!, 5),
      known(standings.pGrowing[i]!, 6),
      known(standings.level[i]!, 6),
      rounded(standings.limit[i]!, 6),
      known(standings.pExceed5[i]!, 6),
      known(standings.crossingYear[i]!, 2),
      overdue[i] === noDueDay ? '' : overdue[i] === 1 ? 'yes' : 'no',
    ];
  });
  writeOut(desk, csv, csvText([head, ...rows]));
  return { written: [csv], rows: rows.length };
};
