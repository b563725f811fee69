import { recordDigest } from '../evidence/canonical.ts';
import { columnAt, type Value } from '../intake/column.ts';
import { tests } from '../intake/subjects.ts';
import {
  type Cell,
  currentEvent,
  type EventMark,
  holdsAny,
  readingAdder,
  recordAdder,
  supersede,
} from '../store/import.ts';
import { readingColumns } from '../store/record-columns.ts';
import { readingsOfEvent } from '../store/records.ts';
import type { ReadingTable } from '../store/tables.ts';
import { type CurrentUnit, currentToUa } from '../trade/units.ts';
import type { Adder, FolderDesk } from './folder-desk.ts';
import { unknownWords, type Verdict } from './folder-writer.ts';

/** A reading of a test as it stands in the file: values in the order of the columns of tests.csv. */
export interface TestRow {
  readonly values: readonly Value[];
  readonly line: number;
}

export type ComplainAt = (line: number, column: string, value: string, message: string) => void;

const at = (name: string) => columnAt(tests, name);
const testId = at('test_id');
const segmentId = at('segment_id');
const testedOn = at('tested_on');
const phase = at('phase');
const method = at('method');
const purpose = at('purpose');
const voltage = at('voltage_kv');
const leakage = at('leakage');
const leakageUnit = at('leakage_unit');
const belowFloor = at('below_floor');
const instrumentId = at('instrument_id');
/** What all readings of a test agree in. */
const shared = [segmentId, testedOn, method, purpose];
/** Place in a reading of each column of the file that is kept there as it is; the others have places of their own. */
const asIs = readingColumns.map((stored) => tests.columns.findIndex((column) => column.stored === stored));
const stepPlace = readingColumns.indexOf('step');
const leakageUaPlace = readingColumns.indexOf('leakage_ua');
const belowFloorPlace = readingColumns.indexOf('below_floor');
const instrumentPlace = readingColumns.indexOf('instrument_id');

/** Takes tests with their readings into the fleet. A test that changed is added anew and supersedes what was there. */
export class TestWriter {
  readonly #desk: FolderDesk;
  readonly #addEvent: Adder;
  readonly #addReading: Adder;
  readonly #anyBefore: boolean;
  readonly #segments: ReadonlyMap<string, string>;
  readonly #instruments: ReadonlyMap<string, string>;

  constructor(desk: FolderDesk) {
    this.#desk = desk;
    this.#addEvent = desk.adder(recordAdder(desk.fleet, 'test_event'));
    this.#addReading = desk.adder(readingAdder(desk.fleet));
    this.#anyBefore = holdsAny(desk.fleet, 'test_event');
    this.#segments = desk.ids('segments');
    this.#instruments = desk.ids('instruments');
  }

  /** All rows of one test. `absent` marks columns that the file does not have: they stay as they are. */
  take(rows: readonly TestRow[], absent: readonly boolean[] | null, complain: ComplainAt): Verdict {
    const first = rows[0]!;
    const readings = this.#readingsOf(rows, complain);
    const owner = first.values[testId] as string;
    const segment = this.#segments.get(first.values[segmentId] as string);
    if (segment === undefined)
      complain(
        first.line,
        'segment_id',
        String(first.values[segmentId]),
        unknownWords('segments', String(first.values[segmentId])),
      );
    if (readings === null || segment === undefined) return 'refused';
    const event: Cell[] = [owner, segment, first.values[testedOn]!, first.values[method]!, first.values[purpose]!];
    const before = this.#anyBefore ? currentEvent(this.#desk.fleet, owner) : undefined;
    if (!before) {
      this.#write(event, readings, null);
      return 'added';
    }
    if (absent) this.#keepAbsent(event, readings, before, absent);
    const same = digestOfEvent([before.id, ...event, before.source_file_id, before.supersedes_id], readings);
    if (same.equals(before.digest)) return 'same';
    this.#write(event, readings, before.id);
    return 'changed';
  }

  #write(event: readonly Cell[], readings: readonly Cell[][], supersedes: string | null): void {
    if (!this.#desk.writing) return;
    const { fleet, change, newId } = this.#desk;
    const id = newId();
    const row = [id, ...event, null, supersedes];
    const digest = digestOfEvent(row, readings);
    const mark = [change!.seq, digest];
    if (supersedes === null) this.#addEvent(row, mark);
    else
      supersede(fleet, supersedes, id, () => {
        this.#addEvent(row, mark);
        this.#desk.flush();
      });
    for (const reading of readings) this.#addReading([id], reading);
    change!.wrote('test_event', id, digest);
  }

  /** Readings in the order of the digest: phase, then voltage, which numbers the steps. Null where some row was refused. */
  #readingsOf(rows: readonly TestRow[], complain: ComplainAt): Cell[][] | null {
    const first = rows[0]!;
    let fine = true;
    for (const row of rows) {
      for (const place of shared) {
        if (row.values[place] === first.values[place]) continue;
        const said = first.values[place] ?? 'nothing';
        const words = `The same test has ${said} on line ${first.line}. Readings of one test agree in it; give another test another test_id.`;
        complain(row.line, tests.columns[place]!.name, String(row.values[place] ?? ''), words);
        fine = false;
      }
    }
    const sorted = rows.length > 1 && !inOrder(rows) ? [...rows].sort(byPhaseThenVoltage) : rows;
    const readings: Cell[][] = [];
    let step = 0;
    for (let i = 0; i < sorted.length; i++) {
      const row = sorted[i]!;
      step = i > 0 && sorted[i - 1]!.values[phase] === row.values[phase] ? step + 1 : 0;
      if (step > 0 && !this.#mayFollow(sorted[i - 1]!, row, complain)) fine = false;
      const reading = this.#readingOf(row, step, complain);
      if (reading === null) fine = false;
      else readings.push(reading);
    }
    return fine ? readings : null;
  }

  #mayFollow(before: TestRow, row: TestRow, complain: ComplainAt): boolean {
    const stepped = row.values[method] === 'dc_step';
    if (stepped && before.values[voltage] !== row.values[voltage]) return true;
    const [early, late] = before.line < row.line ? [before, row] : [row, before];
    const words = stepped
      ? `Line ${early.line} has this phase of the test at ${late.values[voltage]} kV already.`
      : `Line ${early.line} has this phase of the test already. Only dc_step has several voltages a phase.`;
    complain(late.line, stepped ? 'voltage_kv' : 'phase', String(late.values[stepped ? voltage : phase]), words);
    return false;
  }

  #readingOf({ values, line }: TestRow, step: number, complain: ComplainAt): Cell[] | null {
    const reading: Cell[] = new Array(asIs.length);
    for (let i = 0; i < asIs.length; i++) reading[i] = asIs[i]! < 0 ? null : values[asIs[i]!]!;
    reading[stepPlace] = step;
    reading[leakageUaPlace] = currentToUa(values[leakage] as number, values[leakageUnit] as CurrentUnit);
    reading[belowFloorPlace] = values[belowFloor] ?? 0;
    const named = values[instrumentId] as string | null;
    if (named === null) return reading;
    const id = this.#instruments.get(named);
    if (id === undefined) {
      complain(line, 'instrument_id', named, unknownWords('instruments', named));
      return null;
    }
    reading[instrumentPlace] = id;
    return reading;
  }

  #keepAbsent(event: Cell[], readings: Cell[][], before: EventMark, absent: readonly boolean[]): void {
    if (absent[purpose]) event[4] = before.purpose;
    const kept = readingsOfEvent(this.#desk.fleet, before.id);
    for (const reading of readings) {
      const was = kept.find((one) => one.phase === reading[0] && one.step === reading[stepPlace]);
      if (!was) continue;
      asIs.forEach((place, i) => {
        if (place >= 0 && absent[place]) reading[i] = was[readingColumns[i] as keyof ReadingTable];
      });
    }
  }
}

function digestOfEvent(row: readonly Cell[], readings: readonly Cell[][]): Buffer {
  return recordDigest('test_event', [...row, readings] as never);
}

function byPhaseThenVoltage(a: TestRow, b: TestRow): number {
  const [p, q] = [a.values[phase] as string, b.values[phase] as string];
  if (p !== q) return p < q ? -1 : 1;
  return (a.values[voltage] as number) - (b.values[voltage] as number) || a.line - b.line;
}

function inOrder(rows: readonly TestRow[]): boolean {
  for (let i = 1; i < rows.length; i++) if (byPhaseThenVoltage(rows[i - 1]!, rows[i]!) > 0) return false;
  return true;
}
