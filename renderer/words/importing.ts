import type { OutputOf } from '../../core/contract/asks/index.ts';
import { duration } from './dates.ts';
import { count } from './numbers.ts';
import { type Sentence, strong } from './sentence.ts';

type Report = OutputOf<'fleet.import'>;

const sums = (report: Report) =>
  report.files.reduce(
    (sum, file) => ({ added: sum.added + file.added, changed: sum.changed + file.changed, same: sum.same + file.same }),
    { added: 0, changed: 0, same: 0 },
  );

/** What an import would do, or did, in a sentence. */
export function importOpening(report: Report): Sentence {
  const { added, changed, same } = sums(report);
  const known = same === 0 ? '' : ` ${count(same, 'row')} ${same === 1 ? 'is' : 'are'} in the fleet already.`;
  if (report.committed) {
    return report.changes === 0
      ? [strong('Nothing changed'), `: every row is in the fleet already. It took ${duration(report.seconds)}.`]
      : [
          strong(`${count(added, 'row')} added, ${count(changed, 'row')} changed`),
          `, as one entry of the ledger.${known} It took ${duration(report.seconds)}.`,
        ];
  }
  if (report.refusedCount > 0) {
    return [
      strong(`${count(report.refusedCount, 'row')} cannot be taken`),
      `, so nothing would be: an import is whole or not at all. The table says where, and what would be right. The other ${count(added + changed + same, 'row')} ${added + changed + same === 1 ? 'is' : 'are'} fine.`,
    ];
  }
  if (report.changes === 0) return [strong('Nothing would change'), `: every row is in the fleet already.`];
  return [`This would add `, strong(count(added, 'row')), ` and change `, strong(count(changed, 'row')), `.${known}`];
}

export const tableRemembered = 'Remembered for every table with this header.';

export const tablesOpen =
  'What is asked below must be said first; it is then remembered for every table with that header.';

export const tablesRead = 'Correct what was misread; it is remembered for every table with that header.';

export const findingsWaiting = 'Comparing every reading with what the rest says…';

export const nothingFound = 'Nothing stands out. That is no proof: what every reading shares, no comparison can show.';

export const importInvites =
  'Drop a fleet folder, a spreadsheet or your tester’s files on this window. You see what would change before anything does.';

export const folderAbout =
  'Plain CSV, one file a subject, units in the column names or in a unit column. A missing file is an empty subject; the first four are the core. The same folder again changes nothing.';

export const filesRead = 'Reading the files; nothing is changed.';

export const rowsTaken = 'Taking the rows in, all or nothing.';

export const layoutLearnt = 'Read by the columns that were corrected for this header before.';

export const layoutGuessed = 'Read by a guess from names, units and values.';

export const layoutKept = 'Read by the corrected columns, now and from now on.';
