import { closeSync, openSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { z } from 'zod';
import type { fleetAsks } from '../contract/asks/fleet.ts';
import { refuse } from '../contract/problem.ts';
import type { Subject } from '../intake/column.ts';
import { dataPackageText } from '../intake/data-package.ts';
import { headerLine, rowWriter } from '../intake/row-writer.ts';
import { subjects } from '../intake/subjects.ts';
import { type Days, type ExportColumn, exportReadings, exportRecords } from '../store/export.ts';
import { utilityNameOf } from '../store/import.ts';
import type { Desk } from './desk.ts';
import { isReferred, referredEntity } from './folder-desk.ts';
import { makeFolder, writeOut, writeWhole } from './out-file.ts';

type Output = z.output<(typeof fleetAsks)['fleet.export']['output']>;

/** Characters gathered before they are written. */
const writeAt = 1 << 20;

const leftOut =
  'Only the fleet file holds tests that a correction superseded, verdicts on findings, rules and excuses, costs and ' +
  'currency, plans, persons, testers’ files with their traces, and the ledger: a backup carries them.';

/** Writes the fleet folder, of the tests only those of a period where one is given; each file appears whole or not at all. The same fleet gives the same bytes. */
export function exportFolder(desk: Desk, folder: string, period?: Days): Output {
  const name = utilityNameOf(desk.fleet);
  if (name === null) throw refuse('too-few', 'The fleet is empty; there is nothing to export.');
  makeFolder(folder);
  // One transaction: all files show the fleet at the same moment.
  const files = desk.fleet.raw.transaction(() =>
    subjects.map((subject) => exportSubject(desk, folder, subject, period)),
  )();
  writeOut(desk.fleet, join(folder, 'datapackage.json'), dataPackageText(name));
  return { folder, files, leftOut };
}

function exportSubject(
  desk: Desk,
  folder: string,
  subject: Subject,
  period: Days | undefined,
): { file: string; rows: number } {
  const columns = subject.columns.map(({ stored, refersTo }): ExportColumn => {
    return refersTo && isReferred(refersTo) ? { stored, refersTo: referredEntity(refersTo) } : { stored };
  });
  const key = subject.columns[subject.keyAt]!.stored;
  let rows = 0;
  writeWhole(desk.fleet, join(folder, subject.file), (path) => {
    const fd = openSync(path, 'w');
    try {
      const line = rowWriter(subject);
      let text = headerLine(subject);
      const found =
        subject.entity === 'test_event'
          ? exportReadings(desk.fleet, columns, period)
          : exportRecords(desk.fleet, subject.entity, columns, key);
      for (const row of found) {
        text += line(row);
        rows++;
        if (text.length < writeAt) continue;
        writeFileSync(fd, text);
        text = '';
        desk.checkStop();
        desk.progress(rows, 0, `writing ${subject.file}: ${rows.toLocaleString('en')} rows`);
      }
      writeFileSync(fd, text);
    } finally {
      closeSync(fd);
    }
  });
  return { file: subject.file, rows };
}
