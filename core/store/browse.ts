import { byName, byRowName } from './name-order.ts';
import { type Fleet, prepared } from './sql.ts';

export interface FleetRow {
  readonly fleetId: string;
  readonly utilityName: string;
  readonly createdAt: string;
}

export function fleetRow(fleet: Fleet): FleetRow | undefined {
  return prepared(
    fleet,
    'select fleet_id as fleetId, utility_name as utilityName, created_at as createdAt from fleet',
  ).get() as FleetRow | undefined;
}

const counted = [
  'substation',
  'feeder',
  'segment',
  'splice',
  'termination',
  'intervention',
  'failure',
  'instrument',
  'calibration',
] as const;

export interface FleetCounts {
  readonly substations: number;
  readonly feeders: number;
  readonly segments: number;
  readonly splices: number;
  readonly terminations: number;
  readonly interventions: number;
  readonly failures: number;
  readonly instruments: number;
  readonly calibrations: number;
  readonly testEvents: number;
  readonly readings: number;
}

const tallies = counted.map((table) => `(select count(*) from ${table}) as ${table}s`).join(', ');

/** What grows slowly, and is quick to count. */
export type AssetCounts = Omit<FleetCounts, 'testEvents' | 'readings'>;

export const assetCounts = (fleet: Fleet): AssetCounts => prepared(fleet, `select ${tallies}`).get() as AssetCounts;

export function fleetCounts(fleet: Fleet): FleetCounts {
  const { events, superseded, readings, supersededReadings } = eventTally(fleet, 0);
  return { ...assetCounts(fleet), testEvents: events - superseded, readings: readings - supersededReadings };
}

/** Test events written after the one of row `after`, with their readings; superseded ones of all are counted apart. */
export interface EventTally {
  readonly events: number;
  readonly readings: number;
  readonly superseded: number;
  readonly supersededReadings: number;
  readonly lastRow: number;
}

export function eventTally(fleet: Fleet, after: number): EventTally {
  const tally = prepared(
    fleet,
    `select (select count(*) from test_event where rowid > ?) as events,
       (select count(*) from test_event where superseded_by_id is not null) as superseded,
       (select count(*) from test_event e cross join reading r on r.test_event_id = e.id
        where e.superseded_by_id is not null) as supersededReadings,
       (select coalesce(max(rowid), 0) from test_event) as lastRow`,
  ).get(after) as Omit<EventTally, 'readings'>;
  // From the beginning it is quicker not to look at whose they are.
  const readings = prepared(
    fleet,
    after === 0
      ? 'select count(*) as n from reading'
      : 'select count(*) as n from test_event e join reading r on r.test_event_id = e.id where e.rowid > ?',
  ).get(...(after === 0 ? [] : [after])) as { n: number };
  return { ...tally, readings: readings.n };
}

/** The first and the last day of a test that stands; of those after row `after` alone where it is given. */
export function testSpan(fleet: Fleet, after = 0): { firstTestOn: string | null; lastTestOn: string | null } {
  return prepared(
    fleet,
    `select min(tested_on) as firstTestOn, max(tested_on) as lastTestOn from test_event
     where superseded_by_id is null and rowid > ?`,
  ).get(after) as { firstTestOn: string | null; lastTestOn: string | null };
}

/** How many segments are in service, and their length, m. */
export function inService(fleet: Fleet): { segments: number; lengthM: number } {
  return prepared(
    fleet,
    'select count(*) as segments, coalesce(sum(length_m), 0) as lengthM from segment where retired_on is null',
  ).get() as { segments: number; lengthM: number };
}

export interface PlaceRow {
  readonly id: string;
  readonly ownerId: string;
  readonly name: string;
  readonly children: number;
}

export function substations(fleet: Fleet): PlaceRow[] {
  const rows = prepared(
    fleet,
    `select s.id, s.owner_id as ownerId, s.name,
       (select count(*) from feeder f where f.substation_id = s.id) as children
     from substation s`,
  ).all() as PlaceRow[];
  return rows.sort(byRowName);
}

export function feedersOf(fleet: Fleet, substationId: string): PlaceRow[] {
  const rows = prepared(
    fleet,
    `select f.id, f.owner_id as ownerId, f.name, (select count(*) from segment g where g.feeder_id = f.id) as children
     from feeder f where f.substation_id = ?`,
  ).all(substationId) as PlaceRow[];
  return rows.sort(byRowName);
}

export interface NamedRow {
  readonly id: string;
  readonly ownerId: string;
  readonly name: string;
}

export const substationNames = (fleet: Fleet): NamedRow[] =>
  (prepared(fleet, 'select id, owner_id as ownerId, name from substation').all() as NamedRow[]).sort(byRowName);

export interface FeederName extends NamedRow {
  readonly substationId: string;
  readonly substation: string;
}

/** Feeders of a substation, or of all, one substation after another. */
export function feederNames(fleet: Fleet, substationId: string | null): FeederName[] {
  const of = substationId === null ? '' : 'where s.id = ?';
  const rows = prepared(
    fleet,
    `select f.id, f.owner_id as ownerId, f.name, s.id as substationId, s.name as substation
     from substation s join feeder f on f.substation_id = s.id ${of} order by s.owner_id`,
  ).all(...(substationId === null ? [] : [substationId])) as FeederName[];
  return rows.sort((a, b) => byName(a.substation, b.substation) || byRowName(a, b));
}

/** The frame of the tree: every segment with the feeder and substation above it, in order of the owner's id. */
export interface FrameRow {
  readonly id: string;
  readonly ownerId: string;
  readonly name: string;
  readonly feederId: string;
  readonly feederName: string;
  readonly substationId: string;
  readonly substationName: string;
  readonly insulation: string;
  readonly ratedKv: number | null;
  readonly lengthM: number;
  readonly energisedOn: string | null;
  readonly retiredOn: string | null;
}

export function segmentFrame(fleet: Fleet): FrameRow[] {
  type Place = Pick<FrameRow, 'feederId' | 'feederName' | 'substationId' | 'substationName'>;
  const places = prepared(
    fleet,
    `select f.id as feederId, f.name as feederName, s.id as substationId, s.name as substationName
     from feeder f join substation s on s.id = f.substation_id`,
  ).all() as Place[];
  const placeOf = new Map(places.map((place) => [place.feederId, place]));
  const rows = prepared(
    fleet,
    `select id, owner_id as ownerId, name, feeder_id as feederId, insulation, rated_kv as ratedKv, length_m as lengthM,
       energised_on as energisedOn, retired_on as retiredOn
     from segment order by owner_id`,
  ).all() as Omit<FrameRow, 'feederName' | 'substationId' | 'substationName'>[];
  // One text of a feeder for all its segments, where the database would hand out one to each.
  return rows.map(({ id, ownerId, name, feederId, insulation, ratedKv, lengthM, energisedOn, retiredOn }) => {
    const place = placeOf.get(feederId)!;
    return {
      id,
      ownerId,
      name,
      feederId: place.feederId,
      feederName: place.feederName,
      substationId: place.substationId,
      substationName: place.substationName,
      insulation,
      ratedKv,
      lengthM,
      energisedOn,
      retiredOn,
    };
  });
}

export interface SpliceName {
  readonly segmentId: string;
  readonly ownerId: string;
}

/** Splices whose id contains the text (LIKE pattern with \\ as escape): looks at every splice. */
export function splicesLike(fleet: Fleet, pattern: string, count: number): SpliceName[] {
  return prepared(
    fleet,
    `select segment_id as segmentId, owner_id as ownerId from splice where owner_id like ? escape '\\'
     order by owner_id limit ?`,
  ).all(pattern, count) as SpliceName[];
}

/** Splices whose id begins so, letter for letter: a step into the index. */
export function splicesFrom(fleet: Fleet, beginning: string, count: number): SpliceName[] {
  return prepared(
    fleet,
    `select segment_id as segmentId, owner_id as ownerId from splice where owner_id >= ? and owner_id < ? || char(1114111)
     order by owner_id limit ?`,
  ).all(beginning, beginning, count) as SpliceName[];
}
