import { belongs, type Counts, count, noCounts, obligationsOf, type Status, statusOf } from '../evidence/compliance.ts';
import { dayNumber, type RuleVersion } from '../evidence/due.ts';
import { excusesOf, testsOfSegment } from '../store/duties.ts';
import { areaLife } from '../store/retest.ts';
import type { Fleet } from '../store/sql.ts';
import { type Desk, today } from './desk.ts';
import { dutiesFor, dutiesNow } from './duties.ts';
import { type Duties, everyDay, noDay, segmentAt, segmentsIn } from './duty-columns.ts';
import { type ComplianceOf, type RegisterRow, registerRow } from './evidence-compliance.ts';
import { lifeOf, untilDay } from './life-of.ts';
import { retestRules, shownOf } from './policies.ts';
import { RowsMade } from './rows-made.ts';
import { resultsOfOne } from './test-results.ts';

/** The register of a period without its rows: which tests belong to it, and what became of each. */
export interface Register extends Omit<ComplianceOf, 'rows' | 'unknown'> {
  readonly duties: Duties;
  readonly versions: readonly RuleVersion[];
  readonly from: string;
  readonly to: string;
  /** The tests of the period as they stand in the columns, with their segments' positions and what became of them. */
  readonly at: Int32Array;
  readonly position: Int32Array;
  readonly status: readonly Status[];
  /** Positions of the segments for which no due day can be told. */
  readonly unknown: readonly number[];
}

const latest = new WeakMap<Fleet, Register>();

/** The answer before stands as long as nothing changed: its rows are asked for by stretches. */
export function registerOf(desk: Desk, from: string, to: string, asker: 'read' | 'study'): Register {
  const duties = asker === 'read' ? dutiesFor(desk) : dutiesNow(desk);
  const day = today(desk);
  const asOf = day < to ? day : to;
  const before = latest.get(desk.fleet);
  if (before?.duties === duties && before.from === from && before.to === to && before.asOf === asOf) return before;
  const register = made(desk, duties, { from, to, asOf });
  latest.set(desk.fleet, register);
  return register;
}

type Period = Pick<Register, 'from' | 'to' | 'asOf'>;

function made({ fleet }: Desk, duties: Duties, period: Period): Register {
  const { versions, shown } = retestRules(fleet);
  const [from, to, asOf] = [dayNumber(period.from), dayNumber(period.to), dayNumber(period.asOf)];
  const found: number[] = [];
  const position: number[] = [];
  const status: Status[] = [];
  const unknown: number[] = [];
  const total = noCounts();
  const byPlace = new Map<number, Counts>();
  const used = new Set<RuleVersion>();
  for (let p = 0; p < segmentsIn(duties); p++) {
    if (duties.unknown[p] === 1 && duties.retired[p]! >= from) unknown.push(p);
    for (let at = duties.first[p]!; at < duties.first[p + 1]!; at++) {
      const done = duties.done[at] === noDay ? null : duties.done[at]!;
      if (!belongs(duties.due[at]!, done, from, to)) continue;
      const version = versions[duties.version[at]!]!;
      const became = statusOf(duties.due[at]!, done, version.rule, excusedTo(duties.until[at]!), asOf);
      const place = duties.place[p]!;
      const counts = byPlace.get(place) ?? noCounts();
      byPlace.set(place, counts);
      count(counts, became);
      count(total, became);
      used.add(version);
      found.push(at);
      position.push(p);
      status.push(became);
    }
  }
  return {
    ...period,
    ...placesOf(duties, byPlace),
    duties,
    versions,
    rules: shownOf(shown, used),
    total,
    at: Int32Array.from(found),
    position: Int32Array.from(position),
    status,
    unknown,
  };
}

const excusedTo = (until: number): number | null =>
  until === noDay ? null : until === everyDay ? Number.POSITIVE_INFINITY : until;

/** Counts by substation and by feeder, in the order of the fleet; places of one name are one. */
function placesOf(duties: Duties, byPlace: ReadonlyMap<number, Counts>): Pick<Register, 'bySubstation' | 'byFeeder'> {
  const bySubstation = new Map<string, { name: string; counts: Counts }>();
  const byFeeder = new Map<string, { name: string; substation: string; counts: Counts }>();
  for (const [place, counts] of byPlace) {
    const { substation, feeder: name } = duties.places[place]!;
    const key = JSON.stringify([substation, name]);
    const above = bySubstation.get(substation) ?? { name: substation, counts: noCounts() };
    const own = byFeeder.get(key) ?? { name, substation, counts: noCounts() };
    bySubstation.set(substation, above);
    byFeeder.set(key, own);
    for (const status of Object.keys(counts) as (keyof Counts)[]) {
      above.counts[status] += counts[status];
      own.counts[status] += counts[status];
    }
  }
  return { bySubstation: [...bySubstation.values()], byFeeder: [...byFeeder.values()] };
}

const rowsMade = new RowsMade<Register, RegisterRow[]>();

/** So many rows of one status, or of all, from one on; and how many there are. */
export function registerRows(
  { fleet }: Desk,
  register: Register,
  status: Status | undefined,
  skip: number,
  most: number,
): { readonly rows: RegisterRow[]; readonly rowsTotal: number } {
  const own = status === undefined ? null : indicesOf(register, status);
  const rowsTotal = own?.length ?? register.at.length;
  const rows: RegisterRow[] = [];
  for (let k = skip; k < Math.min(skip + most, rowsTotal); k++) {
    const index = own ? own[k]! : k;
    const position = register.position[index]!;
    const id = segmentAt(register.duties, position);
    const segment = rowsMade.of(register, id, () => rowsOfSegment(fleet, register, id));
    // The tests of a segment stand one after another.
    let first = index;
    while (first > 0 && register.position[first - 1] === position) first--;
    rows.push(segment[index - first]!);
  }
  return { rows, rowsTotal };
}

function indicesOf({ status }: Register, wanted: Status): number[] {
  const indices: number[] = [];
  for (let k = 0; k < status.length; k++) if (status[k] === wanted) indices.push(k);
  return indices;
}

function rowsOfSegment(fleet: Fleet, register: Register, id: string): RegisterRow[] {
  const { versions, duties } = register;
  const life = areaLife(fleet, id)!;
  const tests = testsOfSegment(fleet, id, untilDay(duties.upTo));
  const days = tests.map(([day]) => day);
  const results = resultsOfOne(fleet, id, versions, untilDay(duties.upTo));
  const found = obligationsOf(lifeOf(life), days, versions, excusesOf(fleet, id), register, results) ?? [];
  return found.map((one) => registerRow(life, tests, one));
}
