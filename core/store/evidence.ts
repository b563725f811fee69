import { type Fleet, prepared } from './sql.ts';

export interface PeriodTest {
  readonly id: string;
  readonly ownerId: string;
  readonly segmentId: string;
  readonly segment: string;
  readonly testedOn: string;
}

/** Tests in force with a day in the period, by day and owner's id. */
export function testsOfPeriod(fleet: Fleet, from: string, to: string): PeriodTest[] {
  return prepared(
    fleet,
    `select e.id, e.owner_id as ownerId, e.segment_id as segmentId, s.name as segment, e.tested_on as testedOn
     from test_event e join segment s on s.id = e.segment_id
     where e.superseded_by_id is null and e.tested_on between ? and ? order by e.tested_on, e.owner_id`,
  ).all(from, to) as PeriodTest[];
}

/** Every test of a period, those too that a correction superseded: each as it was written. */
export const writtenTestsOfPeriod = (fleet: Fleet, from: string, to: string): string[] =>
  prepared(
    fleet,
    'select id from test_event where tested_on between ? and ? order by tested_on, owner_id, ledger_seq, id',
  )
    .pluck()
    .all(from, to) as string[];

export interface CorrectionRow {
  readonly line: number;
  readonly oldId: string;
  readonly newId: string;
}

/** Tests that took the place of others, written by ledger lines from one to another. */
export const correctionsBetween = (fleet: Fleet, firstLine: number, lastLine: number): CorrectionRow[] =>
  prepared(
    fleet,
    `select n.ledger_seq as line, o.id as oldId, n.id as newId
     from test_event o cross join test_event n on n.id = o.superseded_by_id
     where o.superseded_by_id is not null and n.ledger_seq between ? and ? order by n.ledger_seq, n.owner_id`,
  ).all(firstLine, lastLine) as CorrectionRow[];

/** What a test of the period holds: 1 where it holds it for all its readings, 0 where not. */
export interface Held {
  readonly ownerId: string;
  readonly testedOn: string;
  readonly [column: string]: string | number;
}

/** What the columns of the file can hold of a complete record, of a test `e` and its segment `s`. */
const heldOfTest = {
  fromTo: 's.from_point is not null and s.to_point is not null',
  ratedKv: 's.rated_kv is not null',
  insulationLevel: 's.insulation_level_pct is not null',
  insulation: "s.insulation <> 'other'",
  conductor: 's.conductor_material is not null and s.conductor_area_mm2 is not null',
  diameters: 's.conductor_diameter_mm is not null and s.insulation_thickness_mm is not null',
  terminations:
    '(select count(distinct t.segment_end) from termination t where t.segment_id = s.id and t.kind is not null and t.installed_on is not null) = 2',
  splices:
    'not exists (select 1 from splice p where p.segment_id = s.id and (p.kind is null or p.installed_on is null))',
  energised: 's.energised_on is not null',
  purpose: 'e.purpose is not null',
  original: 'e.source_file_id is not null',
} as const;

/** The same of a reading `r` with its instrument `i`; every reading of a test must hold it. */
const heldOfReadings = {
  crew: 'r.crew is not null',
  cableTemp: 'r.insulation_temp_c is not null',
  ambient: 'r.ambient_temp_c is not null',
  humidity: 'r.humidity_pct is not null',
  serial: 'i.serial is not null',
  calibrated:
    'exists (select 1 from calibration c where c.instrument_id = r.instrument_id and c.calibrated_on <= e.tested_on)',
  calibrationDue:
    'exists (select 1 from calibration c where c.instrument_id = r.instrument_id and c.calibrated_on <= e.tested_on and c.due_on is not null)',
  certificate:
    'exists (select 1 from calibration c where c.instrument_id = r.instrument_id and c.calibrated_on <= e.tested_on and c.certificate is not null)',
  dwell: 'r.dwell_min is not null',
  outcome: 'r.outcome is not null',
} as const;

export type HeldColumn = keyof typeof heldOfTest | keyof typeof heldOfReadings;

/** The tests of a period, a 0 or 1 for each thing that a record should hold. */
export function heldByTests(fleet: Fleet, from: string, to: string): Held[] {
  const own = Object.entries(heldOfTest).map(([column, expression]) => `${expression} as "${column}"`);
  const all = Object.entries(heldOfReadings).map(([column, expression]) => `min(${expression}) as "${column}"`);
  return prepared(
    fleet,
    `select e.owner_id as ownerId, e.tested_on as testedOn, ${[...own, ...all].join(', ')}
     from test_event e join segment s on s.id = e.segment_id join reading r on r.test_event_id = e.id
       left join instrument i on i.id = r.instrument_id
     where e.superseded_by_id is null and e.tested_on between ? and ?
     group by e.id order by e.tested_on, e.owner_id`,
  ).all(from, to) as Held[];
}

/** Original files of a period's tests and the certificates of the instruments used in them. */
export function filesOfPeriod(
  fleet: Fleet,
  from: string,
  to: string,
): { id: string; what: 'original' | 'certificate' }[] {
  return prepared(
    fleet,
    `select distinct f.id, 'original' as what from source_file f
       join test_event e on e.source_file_id = f.id where e.tested_on between :from and :to
     union
     select distinct t.source_file_id, 'original' from trace t
       join test_event e on e.id = t.test_event_id where e.tested_on between :from and :to
     union
     select distinct c.source_file_id, 'certificate' from calibration c
     where c.source_file_id is not null and c.instrument_id in
       (select r.instrument_id from test_event e join reading r on r.test_event_id = e.id
        where e.tested_on between :from and :to)
     order by 2 desc, 1`,
  ).all({ from, to }) as { id: string; what: 'original' | 'certificate' }[];
}
