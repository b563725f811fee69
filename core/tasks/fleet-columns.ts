import {
  type FleetColumns,
  type InsulationFamily,
  insulationFamilies,
  interventionKinds,
  type ReadingColumns,
  testMethods,
  testPurposes,
} from '../growth/columns.ts';
import { type Ruling, rule } from '../growth/findings/rule.ts';
import {
  countEvents,
  type EventRow,
  eventsAsEntered,
  eventsUpTo,
  instrumentIds,
  interventionsUpTo,
  leakageLimits,
  type ModelSegment,
  modelSegments,
  readingsInOrder,
} from '../store/columns.ts';
import { givenVerdicts } from '../store/verdicts.ts';
import { defaultLimit } from '../trade/limits.ts';
import { dayOf } from './days.ts';
import type { Desk } from './desk.ts';
import { rulingOf, testsIn } from './rulings.ts';

export interface ColumnsRead {
  /** As the owner's verdicts on findings have it: what every fit reads. */
  readonly columns: FleetColumns;
  /** As it was recorded: what findings are looked for in. The same readings, ordinal by ordinal. */
  readonly recorded: FleetColumns;
  /** The verdicts in the ordinals of these columns. */
  readonly rulings: readonly Ruling[];
  /** First reading of each test that a verdict names, by the test's id. */
  readonly firstOfTest: ReadonlyMap<string, number>;
  readonly segments: readonly ModelSegment[];
  readonly ordinalById: ReadonlyMap<string, number>;
  /** Where the owner's limits come from, by insulation; families without one stand on our default. */
  readonly ownerLimits: ReadonlyMap<string, string>;
  /** First reading of each segment in the columns; one entry more than segments. */
  readonly firstReading: Int32Array;
  readonly instruments: readonly string[];
}

const code = (list: readonly string[]) => new Map(list.map((name, i) => [name, i]));
const insulationCode = code(insulationFamilies);
const methodCode = code(testMethods);
const purposeCode = code(testPurposes);
const kindCode = code(interventionKinds);

/**
 * Reads the fleet as it was known on a day into the columns of the growth model. `asEntered` leaves out the corrections
 * entered after that day as well: what a list printed then was made from.
 */
export function readColumns(desk: Desk, asOf: string, { asEntered = false } = {}): ColumnsRead {
  const { fleet } = desk;
  const segments = modelSegments(fleet);
  const ordinalById = new Map(segments.map((segment, i) => [segment.id, i]));
  const limits = new Map(leakageLimits(fleet).map((row) => [row.insulation, row]));
  const ownerLimits = new Map([...limits].map(([insulation, row]) => [insulation, limitWords(row.source, row.setOn)]));
  const count = segments.length;
  const segmentColumns = {
    count,
    lengthKm: Float64Array.from(segments, (s) => s.lengthM / 1000),
    ratedKv: Float64Array.from(segments, (s) => s.ratedKv ?? Number.NaN),
    insulation: Uint8Array.from(segments, (s) => insulationCode.get(s.insulation)!),
    energisedDay: Float64Array.from(segments, (s) => (s.energisedOn ? dayOf(s.energisedOn) : Number.NaN)),
    limitNsPerKm: Float64Array.from(segments, (s) => limits.get(s.insulation)?.limitNsPerKm ?? ourLimit(s)),
  };
  desk.progress(0, 0, 'reading the fleet');
  const instruments = instrumentIds(fleet);
  const verdicts = givenVerdicts(fleet).filter((given) => !asEntered || given.at.slice(0, 10) <= asOf);
  const events = (asEntered ? eventsAsEntered : eventsUpTo)(fleet, asOf);
  const { readings, firstOfTest } = closing(events, () =>
    readReadings(desk, events, ordinalById, code(instruments), testsIn(verdicts)),
  );
  const interventions = interventionsUpTo(fleet, asOf)
    .map((row) => ({ segment: ordinalById.get(row.segmentId)!, day: dayOf(row.doneOn), kind: kindCode.get(row.kind)! }))
    .sort((a, b) => a.segment - b.segment || a.day - b.day || a.kind - b.kind);
  const firstReading = new Int32Array(count + 1);
  for (let i = 0; i < readings.count; i++) firstReading[readings.segment[i]! + 1]!++;
  for (let s = 0; s < count; s++) firstReading[s + 1]! += firstReading[s]!;
  const recorded: FleetColumns = {
    segments: segmentColumns,
    readings,
    interventions: {
      count: interventions.length,
      segment: Int32Array.from(interventions, (row) => row.segment),
      day: Int32Array.from(interventions, (row) => row.day),
      kind: Uint8Array.from(interventions, (row) => row.kind),
    },
    asOfDay: dayOf(asOf),
  };
  const read = { recorded, ordinalById, firstOfTest, instruments };
  const rulings = verdicts.flatMap((given) => rulingOf(read, given) ?? []);
  return {
    columns: rule(recorded, rulings),
    recorded,
    rulings,
    firstOfTest,
    segments,
    ordinalById,
    ownerLimits,
    firstReading,
    instruments,
  };
}

/** Ends the reading of rows where the work is given up in the middle: a statement left open could not be asked again. */
function closing<T>(rows: IterableIterator<unknown>, work: () => T): T {
  try {
    return work();
  } finally {
    rows.return?.();
  }
}

/** Our default limit of a segment's cable; NaN where none can be derived. */
function ourLimit(segment: ModelSegment): number {
  const limit = defaultLimit({ ...segment, insulation: segment.insulation as InsulationFamily });
  return limit.known ? limit.value.nsPerKm : Number.NaN;
}

const limitWords = (source: string, setOn: string | null) => (setOn ? `${source}, set ${setOn}` : source);

interface Events {
  readonly count: number;
  readonly segment: Int32Array;
  readonly day: Int32Array;
  readonly method: Uint8Array;
  readonly purpose: Uint8Array;
}

/**
 * Reads events and readings once each, both in order of the event's id, and lays them out segment by segment. Says where
 * the tests that are `wanted` by their ids came to stand.
 */
function readReadings(
  desk: Desk,
  source: IterableIterator<EventRow>,
  ordinalById: ReadonlyMap<string, number>,
  instruments: ReadonlyMap<string, number>,
  wanted: ReadonlySet<string>,
): { readings: ReadingColumns; firstOfTest: ReadonlyMap<string, number> } {
  const met = new Map<string, number>();
  // Three phases a test is the rule; steps of a test make more.
  let size = 3 * countEvents(desk.fleet) + 8;
  let raw = emptyReadings(size);
  let eventOf = new Int32Array(size);
  const events = growingEvents();
  let next = source.next();
  let event = -1;
  let eventId = '';
  let n = 0;
  let seen = 0;
  for (const row of readingsInOrder(desk.fleet)) {
    if ((++seen & 0x3fff) === 0) {
      desk.checkStop();
      desk.progress(Math.min(seen, size), size, 'reading the fleet');
    }
    const id = row[0];
    if (id !== eventId) {
      while (!next.done && next.value[0] < id) next = source.next();
      if (next.done) break;
      if (next.value[0] !== id) continue;
      eventId = id;
      event = events.add(
        ordinalById.get(next.value[1])!,
        dayOf(next.value[2]),
        methodCode.get(next.value[3])!,
        next.value[4] === null ? 1 : purposeCode.get(next.value[4])!,
      );
    }
    if (wanted.has(eventId)) met.set(eventId, event);
    if (n === size) {
      size *= 2;
      raw = copied(raw, emptyReadings(size));
      eventOf = copied({ eventOf }, { eventOf: new Int32Array(size) }).eventOf;
    }
    eventOf[n] = event;
    raw.phase[n] = row[1].charCodeAt(0) - 65;
    raw.voltageKv[n] = row[2];
    raw.dwellMin[n] = row[3] ?? Number.NaN;
    raw.leakageUa[n] = row[4];
    raw.belowFloor[n] = row[5];
    raw.insulationTempC[n] = row[6] ?? Number.NaN;
    raw.ambientTempC[n] = row[7] ?? Number.NaN;
    raw.instrument[n] = row[8] === null ? -1 : instruments.get(row[8])!;
    n++;
  }
  source.return?.();
  const { readings, firstAt } = layOut(raw, eventOf, n, events.done());
  return { readings, firstOfTest: new Map([...met].map(([id, e]) => [id, firstAt[e]!])) };
}

function growingEvents() {
  let segment = new Int32Array(1024);
  let day = new Int32Array(1024);
  let method = new Uint8Array(1024);
  let purpose = new Uint8Array(1024);
  let count = 0;
  const twice = <T extends Int32Array | Uint8Array>(old: T, make: (n: number) => T): T => {
    const more = make(old.length * 2);
    more.set(old);
    return more;
  };
  return {
    add(s: number, d: number, m: number, p: number): number {
      if (count === segment.length) {
        segment = twice(segment, (k) => new Int32Array(k));
        day = twice(day, (k) => new Int32Array(k));
        method = twice(method, (k) => new Uint8Array(k));
        purpose = twice(purpose, (k) => new Uint8Array(k));
      }
      segment[count] = s;
      day[count] = d;
      method[count] = m;
      purpose[count] = p;
      return count++;
    },
    done: (): Events => ({ count, segment, day, method, purpose }),
  };
}

function emptyReadings(size: number) {
  return {
    phase: new Uint8Array(size),
    voltageKv: new Float64Array(size),
    dwellMin: new Float64Array(size),
    leakageUa: new Float64Array(size),
    belowFloor: new Uint8Array(size),
    insulationTempC: new Float64Array(size),
    ambientTempC: new Float64Array(size),
    instrument: new Int32Array(size),
  };
}

/** The columns of `from` at the head of the same columns of `to`, which is returned. */
function copied<C extends { [name in keyof C]: Float64Array | Int32Array | Uint8Array }>(from: C, to: C): C {
  for (const name in from) to[name].set(from[name]);
  return to;
}

/** Sorts by segment, then day, then event (ids rise with time of entry); readings of one event keep their order. */
function layOut(
  raw: ReturnType<typeof emptyReadings>,
  eventOf: Int32Array,
  count: number,
  events: Events,
): { readings: ReadingColumns; firstAt: Int32Array } {
  const firstAt = new Int32Array(events.count);
  const order = new Int32Array(events.count);
  for (let e = 0; e < events.count; e++) order[e] = e;
  order.sort((a, b) => events.segment[a]! - events.segment[b]! || events.day[a]! - events.day[b]! || a - b);
  const first = new Int32Array(events.count + 1);
  for (let i = 0; i < count; i++) first[eventOf[i]! + 1]!++;
  for (let e = 0; e < events.count; e++) first[e + 1]! += first[e]!;
  const out = {
    ...emptyReadings(count),
    count,
    segment: new Int32Array(count),
    event: new Int32Array(count),
    day: new Int32Array(count),
    method: new Uint8Array(count),
    purpose: new Uint8Array(count),
  };
  let at = 0;
  for (let k = 0; k < events.count; k++) {
    const e = order[k]!;
    firstAt[e] = at;
    for (let i = first[e]!; i < first[e + 1]!; i++) {
      out.segment[at] = events.segment[e]!;
      out.event[at] = k;
      out.day[at] = events.day[e]!;
      out.method[at] = events.method[e]!;
      out.purpose[at] = events.purpose[e]!;
      out.phase[at] = raw.phase[i]!;
      out.voltageKv[at] = raw.voltageKv[i]!;
      out.dwellMin[at] = raw.dwellMin[i]!;
      out.leakageUa[at] = raw.leakageUa[i]!;
      out.belowFloor[at] = raw.belowFloor[i]!;
      out.insulationTempC[at] = raw.insulationTempC[i]!;
      out.ambientTempC[at] = raw.ambientTempC[i]!;
      out.instrument[at] = raw.instrument[i]!;
      at++;
    }
  }
  return { readings: out, firstAt };
}
