import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { type Core, openCore } from '../../core/index.ts';
import { migrations } from '../../migrations/index.ts';
import { temporaryFolder } from '../hosts/small-fleet.ts';
import { type DayFile, filesOfDay, writeDayFolder } from './a-day.ts';
import { decimalComma } from './owners.ts';

const home = temporaryFolder('import-records');
const files = filesOfDay();
let core: Core;
let stick: string;
beforeAll(async () => {
  const options = { migrations, now: () => '2025-05-15T08:00:00.000Z', who: 'crew lead', create: true };
  core = await openCore(home.file('day.fleet'), options);
  stick = home.file('stick');
  mkdirSync(stick);
});
afterAll(() => {
  core.close();
  home.clear();
});

const put = (file: DayFile): void => writeFileSync(join(stick, file.name), file.bytes);
const importing = (paths: string[], more: { dryRun?: boolean; testers?: 'leave' | 'named' } = {}) =>
  core.send('fleet.import', { paths, ...more });

test('a fleet folder and the tester’s files beside it come in together; a file that leaves doubt is kept aside with the reason', async () => {
  // Two cables that name themselves outright, one whose files misspell its name, and a picture.
  for (const file of [...files.slice(0, 6), files[9]!, files[27]!]) put(file);
  const folder = writeDayFolder(home.file('folder'));
  const reply = await importing([folder, stick]);
  if (!reply.ok) throw new Error(JSON.stringify(reply.problem));
  const { value } = reply;
  expect(value.files.filter((file) => file.file.startsWith('run ')).map((file) => file.added)).toEqual([
    1, 1, 1, 1, 1, 1,
  ]);
  expect(value.words.filter((line) => line.includes('kept aside'))).toEqual([
    expect.stringMatching(/^md-220-0\.txt needs a person and is kept aside: it does not name a segment/),
    expect.stringMatching(/^photo of the joint\.jpg needs a person and is kept aside: the file is binary/),
  ]);
  const info = await core.send('fleet.info', {});
  expect(info).toMatchObject({ ok: true, value: { revision: 1, counts: { testEvents: 2, readings: 6, segments: 9 } } });
  const aside = await core.send('records.aside', {});
  if (!aside.ok) throw new Error(aside.problem.message);
  expect(aside.value.files.map((file) => file.why).sort()).toEqual([
    expect.stringMatching(/^it does not name a segment/),
    expect.stringMatching(/^the file is binary/),
  ]);
  expect(await core.send('evidence.verify', {})).toMatchObject({ ok: true, value: { intact: true } });
});

test('the same stick again changes nothing', async () => {
  const reply = await importing([home.file('folder'), stick]);
  expect(reply).toMatchObject({ ok: true, value: { changes: 0, committed: false, revision: 1 } });
});

test('told to leave testers’ files, the import leaves them', async () => {
  const file = files[6]!;
  put(file);
  const left = await importing([home.file('folder'), stick], { testers: 'leave' });
  expect(left).toMatchObject({ ok: true, value: { changes: 0 } });
  const dry = await importing([stick], { dryRun: true });
  expect(dry).toMatchObject({ ok: true, value: { changes: 1, committed: false, revision: 1 } });
});

test('what is neither a table nor a tester’s file is refused where nothing else came with it', async () => {
  const reply = await importing([join(stick, 'photo of the joint.jpg')]);
  expect(reply).toMatchObject({
    ok: false,
    problem: { code: 'bad-input', message: expect.stringMatching(/the file is binary/) },
  });
  const missing = await importing([home.file('folder'), home.file('nowhere')]);
  expect(missing).toMatchObject({ ok: false, problem: { message: expect.stringMatching(/no such file/) } });
});

test('an owner’s table of which something must be said first is refused, and says what', async () => {
  const { name, bytes } = decimalComma(2020);
  const text = Buffer.from(bytes)
    .toString('latin1')
    .replace('Ableitstrom µA', 'Ableitstrom')
    .replaceAll('MX-', 'FH-10');
  writeFileSync(
    home.file(name),
    Uint8Array.from(text, (letter) => letter.charCodeAt(0)),
  );
  const reply = await importing([home.file(name)]);
  expect(reply).toMatchObject({ ok: false });
  expect(JSON.stringify(reply)).toMatch(/It is to be said first: leakage_unit: nA, uA, mA\?/);
});
