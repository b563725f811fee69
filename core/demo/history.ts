import type { SeededRandom } from '../numerics/random.ts';
import type { Condition } from './condition.ts';
import type { DemoSegment } from './network.ts';
import { type DemoRow, type DemoSink, dayOf, isoDay, rounded, yearOf } from './rows.ts';
import { failing, type families, yearsBack } from './tables.ts';

interface Splice {
  readonly id: string;
  readonly positionM: number;
  readonly kind: string;
  readonly installed: number;
  removed: number | null;
}

/** What was done to a segment and what happened to it, year by year; days after which the crew came to test. */
export class History {
  readonly #random: SeededRandom;
  readonly #segment: DemoSegment;
  readonly #condition: Condition;
  readonly #lastYear: number;
  readonly #splices: Splice[] = [];
  readonly #happened: { readonly day: number; readonly file: 'interventions' | 'failures'; readonly row: DemoRow }[] =
    [];
  readonly retestDays: number[] = [];
  retiredDay: number | null = null;
  #interventions = 0;

  constructor(random: SeededRandom, condition: Condition, lastYear: number) {
    this.#random = random;
    this.#condition = condition;
    this.#segment = condition.segment;
    this.#lastYear = lastYear;
    const kinds = spliceKinds(this.#segment.family);
    for (let count = Math.floor(this.#segment.lengthM / 220 + random.uniform()); count > 0; count--)
      this.#splice(kinds[random.integer(kinds.length)]!, this.#segment.energisedDay);
  }

  /** Lives through the years in which records were kept. */
  live(): void {
    const first = this.#lastYear - yearsBack.failureRecordsBegin;
    for (let year = first; year <= this.#lastYear && this.retiredDay === null; year++) {
      if (yearOf(this.#segment.energisedDay) > year - 1) continue;
      if (this.#segment.badSplice && year === this.#lastYear - yearsBack.badSplices) this.#addBadSplice(year);
      if (this.#segment.feeder.injected && year === this.#lastYear - yearsBack.injection) this.#inject(year);
      this.#mayFail(year);
      this.#mayRetire(year);
    }
  }

  /** Splices first, then what was done and what failed; nothing of it after the segment was out of service. */
  write(sink: DemoSink): void {
    const last = this.retiredDay ?? Number.POSITIVE_INFINITY;
    for (const splice of this.#splices) {
      if (splice.installed > last) continue;
      sink.row('splices', {
        splice_id: splice.id,
        segment_id: this.#segment.id,
        phase: this.#segment.phases,
        position_m: splice.positionM,
        kind: splice.kind,
        installed_on: isoDay(splice.installed),
        removed_on: splice.removed === null || splice.removed > last ? null : isoDay(splice.removed),
      });
    }
    for (const { day, file, row } of this.#happened) if (day <= last) sink.row(file, row);
  }

  /** A phase broke down on test: the faulty stretch is replaced within days, then tested again. */
  mendedAfterTest(day: number): number {
    const mended = day + 4 + this.#random.integer(12);
    this.#intervene(mended, 'section_replaced', 'failed on test');
    this.#condition.renewed(yearOf(mended), -0.4);
    return mended + 1;
  }

  #splice(kind: string, installed: number): Splice {
    const splice: Splice = {
      id: `J${this.#segment.id.slice(1)}-${this.#splices.length + 1}`,
      positionM: rounded(this.#segment.lengthM * (0.1 + 0.8 * this.#random.uniform()), 1),
      kind,
      installed,
      removed: null,
    };
    this.#splices.push(splice);
    return splice;
  }

  #intervene(day: number, kind: string, note: string | null): void {
    this.#interventions++;
    const row = {
      intervention_id: `V${this.#segment.id.slice(1)}-${this.#interventions}`,
      segment_id: this.#segment.id,
      done_on: isoDay(day),
      kind,
      note,
    };
    this.#happened.push({ day, file: 'interventions', row });
  }

  #addBadSplice(year: number): void {
    const day = dayOf(year, 3, 20) + this.#random.integer(60);
    this.#splice('premoulded', day);
    this.#intervene(day, 'splice_added', 'premoulded, lot 17');
  }

  #inject(year: number): void {
    const day = dayOf(year, 6, 1) + this.#random.integer(110);
    this.#intervene(day, 'fluid_injected', null);
    this.#condition.injected(yearOf(day));
  }

  #mayFail(year: number): void {
    const batch = this.#splices.find(
      (one) =>
        one.installed >= dayOf(this.#lastYear - yearsBack.badSplices, 1, 1) &&
        one.kind === 'premoulded' &&
        one.removed === null &&
        this.#segment.badSplice,
    );
    const age = batch ? year - yearOf(batch.installed) : 0;
    const fromBatch = age > 2.5 ? 0.09 : 0;
    const over = this.#condition.overLimit(year);
    const ordinary = failing.atLimit * Math.min(over, 6) ** failing.power * Math.sqrt(this.#segment.lengthM / 320);
    const draw = this.#random.uniform();
    const day = dayOf(year, 1, 1) + this.#random.integer(365);
    if (draw < fromBatch) this.#failSplice(day, batch!);
    else if (draw < fromBatch + ordinary) this.#fail(day);
  }

  #failSplice(day: number, splice: Splice): void {
    this.#failed(day, 'splice', 'premoulded splice, lot 17: void at the interface');
    splice.removed = day;
    this.#splice('cold_shrink', day + 1);
    this.#intervene(day + 1, 'splice_renewed', 'lot 17 taken out');
    this.#condition.renewed(yearOf(day + 1), -0.05);
    this.retestDays.push(day + 2);
  }

  #fail(day: number): void {
    const draw = this.#random.uniform() * 100;
    const part =
      draw < failing.partPct.cable ? 'cable' : draw < 100 - failing.partPct.termination ? 'splice' : 'termination';
    this.#failed(day, part, causeOf(part, this.#random));
    const mended = day + 1 + this.#random.integer(3);
    if (part === 'termination') this.#intervene(mended, 'termination_remade', null);
    else if (part === 'splice') {
      this.#splice('cold_shrink', mended);
      this.#intervene(mended, 'splice_renewed', null);
    } else if (this.#random.uniform() < 0.5) this.#intervene(mended, 'section_replaced', null);
    else {
      this.#splice('cold_shrink', mended);
      this.#splice('cold_shrink', mended);
      this.#intervene(mended, 'splice_added', 'two splices, short piece let in');
    }
    this.#condition.renewed(yearOf(mended), part === 'cable' ? -0.35 : -0.15);
    this.retestDays.push(mended + 1);
  }

  #failed(day: number, part: string, cause: string): void {
    const { segment, random } = { segment: this.#segment, random: this.#random };
    const row = {
      failure_id: `X${segment.id.slice(1)}-${isoDay(day)}`,
      segment_id: segment.id,
      failed_on: isoDay(day),
      phase: segment.phases === 'ABC' ? (['A', 'B', 'C'] as const)[random.integer(3)]! : segment.phases,
      part,
      cause,
      customers_interrupted: Math.round(segment.feeder.customers * (0.2 + 0.8 * random.uniform())),
      duration_min: 45 + Math.round(600 * random.uniform() ** 2),
    };
    this.#happened.push({ day, file: 'failures', row });
  }

  #mayRetire(year: number): void {
    const draw = this.#random.uniform();
    if (year < this.#lastYear - 9 || this.#condition.overLimit(year) < 1.4 || draw > 0.12) return;
    this.retiredDay = dayOf(year, 4, 1) + this.#random.integer(200);
  }
}

function spliceKinds(family: keyof typeof families): readonly string[] {
  if (family === 'PILC') return ['taped', 'taped', 'transition'];
  if (family === 'HMWPE' || family === 'XLPE') return ['taped', 'heat_shrink'];
  return ['cold_shrink', 'premoulded', 'heat_shrink'];
}

function causeOf(part: string, random: SeededRandom): string {
  const causes: Readonly<Record<string, readonly string[]>> = {
    cable: ['insulation', 'insulation, water trees', 'jacket damage'],
    splice: ['moisture in the splice', 'workmanship'],
    termination: ['tracking', 'moisture in the termination'],
  };
  return causes[part]![random.integer(causes[part]!.length)]!;
}
