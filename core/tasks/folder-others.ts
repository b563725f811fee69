import { subjects } from '../intake/subjects.ts';
import { rowsOf } from '../intake/tables/rows-of.ts';
import { tableSubjects } from '../intake/tables/shapes.ts';
import { fileBySha256 } from '../store/records-files.ts';
import type { Change } from './change.ts';
import type { Desk } from './desk.ts';
import type { FileReader } from './folder-file.ts';
import type { FileTally } from './folder-one-file.ts';
import type { RefusedRows } from './folder-refused.ts';
import { type PhaseOfTest, writeTests } from './records-accept.ts';
import { keepFile } from './records-aside.ts';
import { KnownNames, type OwnerFile } from './records-owner-files.ts';
import { previewed } from './records-preview.ts';
import { isReadable, type StudiedFile } from './records-study.ts';

/** Owners' tables in an import: each subject after those it refers to, names of earlier tables known to later ones. */
export function readTables(
  desk: Desk,
  tables: readonly OwnerFile[],
  reader: FileReader,
  refused: RefusedRows,
): FileTally[] {
  if (tables.length === 0) return [];
  const known = new KnownNames(desk.fleet);
  const ordered = [...tables].sort(
    (a, b) => tableSubjects.indexOf(a.layout.subject) - tableSubjects.indexOf(b.layout.subject),
  );
  const parts = ordered.flatMap((file) => {
    const { layout, table, name } = file;
    if (layout.open.length > 0) {
      for (const what of layout.open)
        refused.add({
          file: name,
          line: table.headerLine,
          column: '',
          value: '',
          message: `It is to be said first: ${what}`,
        });
      return [];
    }
    const rows = rowsOf(table, layout, known).filter((part) => part.rows.length > 0);
    for (const part of rows) known.add(part);
    return rows.map((part) => ({
      part,
      file,
      label: part.subject.name === layout.subject ? name : `${name}: ${part.subject.name}`,
    }));
  });
  return subjects.flatMap((subject) =>
    parts
      .filter(({ part }) => part.subject === subject)
      .map(({ part, file, label }) => reader.readRows(part, label, file.table.headerLine, file.sha256)),
  );
}

/** What testers' files came to in an import without a person. */
export interface TakenTesters {
  readonly tallies: FileTally[];
  /** Files kept aside now, with the reason. */
  readonly aside: readonly { readonly file: string; readonly reason: string }[];
  readonly changes: number;
}

/**
 * Testers' files that name their segment, phase and day themselves are taken in; the others are kept aside with the
 * reason. Without a change, says what would be.
 */
export function takeTesters(desk: Desk, files: readonly StudiedFile[], change: Change | null): TakenTesters {
  const tallies: FileTally[] = [];
  const aside: { file: string; reason: string }[] = [];
  const phases: PhaseOfTest[] = [];
  let kept = 0;
  previewed(desk, files).forEach((shown, i) => {
    const studied = files[i]!;
    const takes = shown.matched && shown.namesSegment && isReadable(studied);
    const before = shown.verdict === 'known' || shown.verdict === 'twice';
    const tally = {
      file: shown.name,
      rows: 1,
      added: 0,
      changed: 0,
      same: 0,
      refused: 0,
      unknown: [],
      sha256: shown.key,
    };
    tallies.push(tally);
    if (takes) {
      tally.added = 1;
      phases.push({ wish: wishOf(shown), file: studied });
    } else if (before) tally.same = 1;
    else if (!('because' in studied.given)) {
      const reason = shown.because ?? reasonOf(shown);
      if (fileBySha256(desk.fleet, Buffer.from(shown.key, 'hex'))) tally.same = 1;
      else {
        aside.push({ file: shown.name, reason });
        kept++;
        if (change) keepFile(change, studied.given);
      }
    }
  });
  if (change && phases.length > 0) writeTests(change, phases);
  return { tallies, aside, changes: phases.length + kept };
}

type Shown = ReturnType<typeof previewed>[number];

const wishOf = (shown: Shown): PhaseOfTest['wish'] => ({
  key: shown.key,
  segmentId: shown.candidates[0]!.segmentId,
  phase: shown.phase!,
  testedOn: shown.testedOn!,
  method: shown.method,
  purpose: null,
  supersedes: null,
  insulationTempC: shown.insulationTempC,
  instrumentId: shown.instrument?.id ?? null,
  crew: shown.crew,
});

/** Why a file that can be read needs a person. */
function reasonOf(shown: Shown): string {
  if (!shown.namesSegment) return 'it does not name a segment of the fleet by its id or whole name';
  if (shown.phase === null) return 'it does not say which phase';
  if (shown.testedOn === null) return 'it does not say on which day';
  return shown.warnings[0] ?? 'it is not clear whose it is';
}
