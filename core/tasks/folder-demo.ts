import { refuse } from '../contract/problem.ts';
import type { DemoRow } from '../demo/rows.ts';
import { inventUtility, utilityName } from '../demo/utility.ts';
import type { Complain } from '../intake/cell.ts';
import type { Subject, Value } from '../intake/column.ts';
import { subjects, tests } from '../intake/subjects.ts';
import { seededRandom } from '../numerics/random.ts';
import { fleetCounts } from '../store/browse.ts';
import { nameFleet, utilityNameOf } from '../store/import.ts';
import { changing } from './change.ts';
import { today } from './desk.ts';
import { FolderDesk } from './folder-desk.ts';
import { TestWriter } from './folder-tests.ts';
import { SubjectWriter } from './folder-writer.ts';
import { idMaker } from './new-ids.ts';
import type { Task } from './task.ts';

/** Writes the invented utility into an empty fleet, by the same writers as an import, in one ledger line. */
export const writeDemo: Task<'demo.write'> = (desk, { segments, seed, lastTestYear }) => {
  const started = performance.now();
  if (utilityNameOf(desk.fleet) !== null)
    throw refuse('not-allowed', 'The fleet holds records already. Write the invented utility into a new file.');
  changing(desk, (change) => {
    // Ids from the seed too, on a stream of their own: the same seed and moment give the same fleet.
    const random = seededRandom(seed + 2 ** 39);
    const newId = idMaker(desk.now(), () => random.integer(2 ** 32));
    const folder = new FolderDesk(desk.fleet, change, newId, today(desk));
    const writers = new Map(
      subjects.filter((one) => one !== tests).map((one) => [one.name, new SubjectWriter(folder, one)]),
    );
    const events = new TestWriter(folder);
    nameFleet(desk.fleet, { fleet_id: newId(), utility_name: utilityName, created_at: desk.now() });
    inventUtility(
      {
        segments,
        seed,
        lastTestYear,
        made: (done) => {
          desk.checkStop();
          desk.progress(
            done,
            segments,
            `inventing ${done.toLocaleString('en')} of ${segments.toLocaleString('en')} segments`,
          );
        },
      },
      {
        row: (file, row) => {
          const writer = writers.get(file)!;
          writer.take(valuesOf(writer.subject, row), null, neverWrong);
        },
        test: (readings) => {
          events.take(
            readings.map((row, line) => ({ values: valuesOf(tests, row), line })),
            null,
            (_, ...why) => neverWrong(...why),
          );
        },
      },
    );
    folder.flush();
    change.seal({ what: 'write demo' }, undefined, { utility: utilityName, segments, seed, lastTestYear });
  });
  return { counts: fleetCounts(desk.fleet), seconds: (performance.now() - started) / 1000 };
};

const valuesOf = (subject: Subject, row: DemoRow): Value[] => subject.columns.map((column) => row[column.name] ?? null);

const neverWrong: Complain = (column, value, message) => {
  throw new Error(`the invented utility has ${column} '${value}': ${message}`);
};
