import { refuse } from '../contract/problem.ts';
import { readSamples } from '../intake/samples/read-samples.ts';
import { columnRoles, type SampleLayout, unitsOfRole } from '../intake/samples/shapes.ts';
import { layoutOf } from '../store/records-match.ts';
import { changing } from './change.ts';
import { givenRecords } from './records-files.ts';
import { keyOf } from './records-given.ts';
import { samplesSubject } from './records-read.ts';
import type { Task } from './task.ts';

/** Keeps a corrected layout under the header's fingerprint; says whether the file can be read by it. */
export const relayoutRecord: Task<'records.relayout'> = async (desk, { key, decimal, columns, ...places }) => {
  const given = (await givenRecords(desk.fleet, places)).testers.find(
    (file) => !('because' in file) && keyOf(file.bytes) === key,
  );
  if (!given || 'because' in given)
    throw refuse('moved-on', 'The file is not there any more. Look at the files again.');
  const guess = (await readSamples(given.bytes, given.name)).layout;
  if (!guess) throw refuse('bad-input', `${given.name}: no table was found whose columns could be told.`);
  if (columns.length !== guess.columns.length)
    throw refuse('bad-input', `The file has ${guess.columns.length} columns; ${columns.length} were given.`);
  columns.forEach(({ role, unit }, i) => {
    const units = unitsOfRole[role];
    if (unit === null ? role !== 'other' : !units.includes(unit) && role !== 'other')
      throw refuse('bad-input', `Column ${i + 1}: ${role} is in ${units.join(', ')}.`, { where: 'columns' });
  });
  for (const role of columnRoles)
    if (role !== 'other' && columns.filter((column) => column.role === role).length > 1)
      throw refuse('bad-input', `Two columns are called ${role}. Keep one.`, { where: 'columns' });
  const layout: SampleLayout = {
    ...guess,
    decimal,
    columns: columns.map((column, i) => ({ ...column, name: guess.columns[i]!.name, unitGuessed: false })),
    confidence: 1,
    doubts: [],
  };
  const read = await readSamples(given.bytes, given.name, layout);
  return changing(desk, (change) => {
    const row = { fingerprint: guess.fingerprint, subject: samplesSubject, layout: JSON.stringify(layout) };
    const before = layoutOf(desk.fleet, guess.fingerprint);
    let id = before?.id;
    if (before) change.update('layout', before, { ...row, id: before.id });
    else id = change.add('layout', row);
    const words = { file: given.name, columns: layout.columns.map(({ name, role, unit }) => ({ name, role, unit })) };
    change.seal(
      { what: 'correct layout' },
      { entity: 'layout', id: id!, before: before ? { layout: before.layout } : null, after: words },
    );
    return { revision: change.seq, reads: read.ok, because: read.ok ? null : read.because };
  });
};
