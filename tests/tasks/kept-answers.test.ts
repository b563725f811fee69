import { randomUUIDv7 } from 'node:crypto';
import { copyFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { PlanQuestion } from '../../core/contract/shapes/plan.ts';
import { closeFleet, openFleet } from '../../core/store/open.ts';
import { entities } from '../../core/store/record-columns.ts';
import type { Fleet } from '../../core/store/sql.ts';
import type { Entity } from '../../core/store/tables.ts';
import { changing } from '../../core/tasks/change.ts';
import { type Desk, today } from '../../core/tasks/desk.ts';
import { dutiesNow, keepDuties } from '../../core/tasks/duties.ts';
import { calibrationTasks } from '../../core/tasks/evidence-calibration.ts';
import { completenessTask } from '../../core/tasks/evidence-completeness.ts';
import { findingsAsOf } from '../../core/tasks/findings-made.ts';
import { fleetSums, keepSums } from '../../core/tasks/fleet-sums.ts';
import { frameOf, keepFrame } from '../../core/tasks/frame.ts';
import { isKept, type KeptKind, keptKinds, revisionFor } from '../../core/tasks/kept-answers.ts';
import { overdueNow } from '../../core/tasks/overdue.ts';
import { planFor } from '../../core/tasks/plan-result.ts';
import { sideFit } from '../../core/tasks/side-fit.ts';
import { backtestAsOf, makeStandings, ranksLastYear, standingsAsOf, yearBefore } from '../../core/tasks/standings.ts';
import { migrations } from '../../migrations/index.ts';
import { aCore } from './a-core.ts';
import { writeOne } from './one-of-each.ts';

// An answer that took a minute is taken up again until something is written that it may have been drawn from. What it is
// not drawn from is declared kind by kind; here that is held against what it reads, and against answers made from nothing.
let folder: string;
const now = '2026-06-30T12:00:00.000Z';
const period = { from: '2000-01-01', to: '2026-06-30' };
const question = PlanQuestion.parse({ budget: 200_000, years: 2, horizon: 5 });

const deskOn = (fleet: Fleet): Desk => ({
  fleet,
  file: fleet.file,
  now: () => now,
  day: () => now.slice(0, 10),
  who: 'Ada Thornbury',
  blankFleet: () => openFleet(':memory:', { migrations, create: true }),
  progress: () => {},
  checkStop: () => {},
  whenIdle: () => {},
});

/** How each kind of answer is had: taken up, or made and kept. By the beginning of its name. */
const had: Readonly<Record<string, (desk: Desk) => unknown>> = {
  frame(desk) {
    keepFrame(desk);
    return frameOf(desk.fleet);
  },
  standings: (desk) => makeStandings(desk, today(desk)),
  'parts of standings': (desk) => makeStandings(desk, today(desk)).partSlope,
  'readings of standings': (desk) => makeStandings(desk, today(desk)).readingAdjusted,
  ranks: (desk) => ranksLastYear(desk, today(desk)),
  backtest: (desk) => backtestAsOf(desk, today(desk)),
  'as entered': (desk) => sideFit(desk, 'as entered', yearBefore(today(desk)), standingsAsOf(desk, today(desk))),
  'clock only': (desk) => sideFit(desk, 'clock only', yearBefore(today(desk)), standingsAsOf(desk, today(desk))),
  findings: (desk) => findingsAsOf(desk, today(desk)),
  'tests due': (desk) => {
    keepDuties(desk, today(desk));
    return dutiesNow(desk);
  },
  overdue: (desk) => overdueNow(desk),
  'fleet sums': (desk) => {
    keepSums(desk);
    return fleetSums(desk.fleet);
  },
  'calibration of tests': (desk) => calibrationTasks['evidence.calibration'](desk, period),
  'completeness of records': (desk) => completenessTask(desk, period),
  plan: (desk) => planFor(desk, question),
};

const beginning = ({ name }: KeptKind): string => name.split(',')[0]!;
const kindOf = (name: string): KeptKind => keptKinds().find((kind) => beginning(kind) === name)!;

let copies = 0;
/** A fleet of its own with a record of every kind, and of the answers that are kept those that a condition leaves. */
async function aCopy(from: string, which = 'true'): Promise<Fleet> {
  const file = join(folder, `${++copies}.fleet`);
  copyFileSync(from, file);
  const fleet = await openFleet(file, { migrations });
  fleet.raw.exec(`delete from kept where not (${which})`);
  return fleet;
}
const none = 'false';

let base: string;

beforeAll(async () => {
  const t = await aCore({ now });
  folder = t.folder;
  await t.ask('demo.write', { segments: 60, seed: 5 });
  base = join(folder, 'base.fleet');
  t.core.close();
  copyFileSync(t.file, base);
  const fleet = await openFleet(base, { migrations });
  const desk = deskOn(fleet);
  writeOne(desk, 'source_file', 1);
  writeOne(desk, 'finding_verdict', 1);
  for (const entity of entities)
    if (fleet.raw.prepare(`select count(*) from ${entity}`).pluck().get() === 0) writeOne(desk, entity, 1);
  writeOne(desk, 'finding_verdict', 2);
  for (const make of Object.values(had)) await make(desk);
  closeFleet(fleet);
}, 240_000);
afterAll(() => rmSync(folder, { recursive: true }));

test('how each kind of answer is had is told here, and what it passes over are kinds of record', () => {
  expect(keptKinds().map(beginning).sort()).toEqual(Object.keys(had).sort());
  for (const kind of keptKinds()) expect(entities).toEqual(expect.arrayContaining([...kind.passesOver]));
});

/** The tables that statements read, by what SQLite says it will do. */
function tablesOf(fleet: Fleet, statements: Iterable<string>): Set<string> {
  const roots = new Map(
    fleet.raw.prepare('select rootpage, tbl_name from sqlite_schema').raw().all() as [number, string][],
  );
  const tables = new Set<string>();
  for (const text of statements) {
    const steps = fleet.raw.prepare(`explain ${text.replace(/\?|:\w+/g, 'null')}`).all() as {
      opcode: string;
      p2: number;
      p3: number;
    }[];
    for (const { opcode, p2, p3 } of steps) if (opcode === 'OpenRead' && p3 === 0) tables.add(roots.get(p2)!);
  }
  return tables;
}

const entityOf = (table: string): string =>
  table === 'reading' ? 'test_event' : table === 'plan_item' ? 'plan' : table;

describe('made from nothing, an answer reads no record of a kind that it passes over', () => {
  test.each(Object.keys(had))(
    '%s',
    async (name) => {
      // Of the sums of the fleet others ask for nothing but the day of the last test.
      const fleet = await aCopy(base, name === 'fleet sums' ? none : "name like 'fleet sums%'");
      const asked = new Set<string>();
      const prepare = fleet.raw.prepare.bind(fleet.raw);
      fleet.raw.prepare = ((text: string) => {
        if (/^\s*(select|with)\b/i.test(text)) asked.add(text);
        return prepare(text);
      }) as never;
      await had[name]!(deskOn(fleet));
      fleet.raw.prepare = prepare as never;
      const read = [...tablesOf(fleet, asked)].map(entityOf);
      expect(read).toContain('segment');
      expect(read.filter((table) => (kindOf(name).passesOver as readonly string[]).includes(table))).toEqual([]);
      // What is written without a line in the ledger, or by a line that lists nothing.
      for (const table of ['signature', 'fleet']) expect(read).not.toContain(table);
      closeFleet(fleet);
    },
    60_000,
  );
});

/** An answer without what says when it was made. */
const said = (answer: unknown): unknown =>
  JSON.parse(
    JSON.stringify(answer, (key, value) =>
      key === 'revision' || key === 'seconds'
        ? undefined
        : value instanceof Map
          ? [...value]
          : ArrayBuffer.isView(value)
            ? Buffer.from(value.buffer, value.byteOffset, value.byteLength).toString('base64')
            : value,
    ),
  );

describe('after a change of everything it passes over, an answer stands, and is the one made from nothing', () => {
  test.each(Object.keys(had))(
    '%s',
    async (name) => {
      const kind = kindOf(name);
      const fleet = await aCopy(base);
      const desk = deskOn(fleet);
      const before = await had[name]!(desk);
      const revision = revisionFor(fleet, kind);
      for (const entity of kind.passesOver) writeOne(desk, entity, 3);
      expect(revisionFor(fleet, kind)).toBe(revision);
      const after = await had[name]!(desk);
      const saidAfter = said(after);
      if (name === 'frame') expect(after).toBe(before);
      closeFleet(fleet);
      const anew = await aCopy(fleet.file, none);
      expect(saidAfter).toEqual(said(await had[name]!(deskOn(anew))));
      closeFleet(anew);
    },
    60_000,
  );
});

describe('a change of a kind of record that an answer does not pass over ends it', () => {
  let fleet: Fleet;
  beforeAll(async () => {
    fleet = await aCopy(base);
  });
  afterAll(() => closeFleet(fleet));
  const standing = () => {
    const asked = fleet.raw.prepare('select name, asked from kept').all() as { name: string; asked: string }[];
    const kept = asked.filter((one) => isKept(fleet, keptKinds().find(({ name }) => name === one.name)!, one.asked));
    return new Set(kept.map(({ name }) => name));
  };

  /** Says which answers stand after some writing, which is then undone. */
  function standingAfter(writing: () => void): Set<string> {
    fleet.raw.exec('begin immediate');
    try {
      writing();
      return standing();
    } finally {
      fleet.raw.exec('rollback');
    }
  }

  test.each(entities)('%s', (entity) => {
    expect(standing()).toEqual(new Set(keptKinds().map(({ name }) => name)));
    const left = standingAfter(() => writeOne(deskOn(fleet), entity, 4));
    for (const { name, passesOver } of keptKinds())
      expect([name, left.has(name)]).toEqual([name, passesOver.includes(entity)]);
  });

  test('one that nobody thought of ends all', () => {
    const left = standingAfter(() =>
      changing(deskOn(fleet), (change) => {
        change.wrote('quay' as Entity, randomUUIDv7(), new Uint8Array(32));
        change.seal({ what: 'build a quay' });
      }),
    );
    expect(left.size).toBe(0);
  });
});
