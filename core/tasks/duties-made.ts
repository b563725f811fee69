import { type Duty, dutiesOf } from '../evidence/compliance.ts';
import { dayNumber, type RuleVersion } from '../evidence/due.ts';
import { testSpan } from '../store/browse.ts';
import { type ExcuseRow, excuses } from '../store/compliance.ts';
import { testDaysBySegment } from '../store/duties.ts';
import { revisionOf } from '../store/ledger.ts';
import { type AreaLifeRow, areaLives } from '../store/retest.ts';
import type { Desk } from './desk.ts';
import { type Duties, type DutyColumns, type DutyPlace, everyDay, noDay } from './duty-columns.ts';
import { lifeOf, untilDay } from './life-of.ts';
import { retestRules } from './policies.ts';
import { resultsOfAll } from './test-results.ts';

/** From the records alone: every test and what it found, segment by segment. */
export function makeDuties(desk: Desk, upTo: string): Duties {
  const { fleet } = desk;
  const revision = revisionOf(fleet);
  const { versions } = retestRules(fleet);
  desk.progress(0, 0, 'reading the tests');
  const until = untilDay(upTo);
  const tests = testDaysBySegment(fleet, until);
  desk.checkStop();
  const results = resultsOfAll(desk, versions, until);
  const excused = Map.groupBy(excuses(fleet), (row) => row.segmentId);
  const writer = new DutyWriter(versions);
  const none: readonly never[] = [];
  for (const life of areaLives(fleet)) {
    if ((writer.segments & 0x3fff) === 0) desk.checkStop();
    const days = tests.get(life.id) ?? none;
    writer.add(life, days, dutiesOf(lifeOf(life), days, versions, excused.get(life.id) ?? none, results(life.id)));
  }
  return { revision, upTo, ...writer.written(), lastTestDay: lastDayOf(testSpan(fleet).lastTestOn) };
}

const lastDayOf = (day: string | null): number => (day === null ? -noDay : dayNumber(day));

/** Segments one after another, by substation, feeder and name, laid out as columns. */
export class DutyWriter {
  readonly #versions: ReadonlyMap<RuleVersion, number>;
  readonly #ids: string[] = [];
  readonly #places = new Map<string, number>();
  readonly #placeList: DutyPlace[] = [];
  readonly #place: number[] = [];
  readonly #retired: number[] = [];
  readonly #unknown: number[] = [];
  readonly #first: number[] = [0];
  #columns = newColumns(1024);
  #count = 0;

  constructor(versions: readonly RuleVersion[]) {
    this.#versions = new Map(versions.map((version, at) => [version, at]));
  }

  get segments(): number {
    return this.#place.length;
  }

  /** A segment as it was counted: null where no due day can be told. */
  add(life: AreaLifeRow, testedOn: readonly string[], duties: readonly Duty<ExcuseRow>[] | null): void {
    this.#begin(life.id, life, life.retiredOn === null ? noDay : dayNumber(life.retiredOn), duties === null);
    for (const { due, done, excuse } of duties ?? [])
      this.#write(
        dayNumber(due.dueOn),
        done === null ? noDay : dayNumber(testedOn[done]!),
        excuse === null ? noDay : excuse.until === null ? everyDay : dayNumber(excuse.until),
        this.#versions.get(due.version)!,
      );
    this.#first.push(this.#count);
  }

  /** A segment of which nothing was written since; where it lies may be called otherwise. */
  copy(id: string, place: DutyPlace, from: DutyColumns, position: number): void {
    this.#begin(id, place, from.retired[position]!, from.unknown[position] === 1);
    for (let at = from.first[position]!; at < from.first[position + 1]!; at++)
      this.#write(from.due[at]!, from.done[at]!, from.until[at]!, from.version[at]!);
    this.#first.push(this.#count);
  }

  #begin(id: string, place: DutyPlace, retired: number, unknown: boolean): void {
    this.#ids.push(id);
    this.#place.push(this.#indexOf(place));
    this.#retired.push(retired);
    this.#unknown.push(unknown ? 1 : 0);
  }

  #indexOf({ area, substation, feeder }: DutyPlace): number {
    const last = this.#placeList[this.#place.at(-1) ?? -1];
    if (last?.feeder === feeder && last.substation === substation && last.area === area) return this.#place.at(-1)!;
    const key = JSON.stringify([area, substation, feeder]);
    let index = this.#places.get(key);
    if (index === undefined) {
      index = this.#placeList.push({ area, substation, feeder }) - 1;
      this.#places.set(key, index);
    }
    return index;
  }

  #write(due: number, done: number, until: number, version: number): void {
    if (this.#count === this.#columns.due.length) this.#columns = larger(this.#columns);
    const at = this.#count++;
    this.#columns.due[at] = due;
    this.#columns.done[at] = done;
    this.#columns.until[at] = until;
    this.#columns.version[at] = version;
  }

  written(): DutyColumns & { readonly places: readonly DutyPlace[] } {
    const { due, done, until, version } = this.#columns;
    return {
      places: this.#placeList,
      ids: new Uint8Array(Buffer.from(this.#ids.join(''), 'latin1')),
      place: Int32Array.from(this.#place),
      retired: Int32Array.from(this.#retired),
      unknown: Uint8Array.from(this.#unknown),
      first: Int32Array.from(this.#first),
      due: due.slice(0, this.#count),
      done: done.slice(0, this.#count),
      until: until.slice(0, this.#count),
      version: version.slice(0, this.#count),
    };
  }
}

type Written = Record<'due' | 'done' | 'until' | 'version', Int32Array>;

const newColumns = (length: number): Written => ({
  due: new Int32Array(length),
  done: new Int32Array(length),
  until: new Int32Array(length),
  version: new Int32Array(length),
});

function larger(columns: Written): Written {
  const next = newColumns(2 * columns.due.length);
  for (const key of ['due', 'done', 'until', 'version'] as const) next[key].set(columns[key]);
  return next;
}
