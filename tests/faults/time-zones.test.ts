import { spawnSync } from 'node:child_process';
import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { openCore } from '../../core/index.ts';
import { dayHere } from '../../electron/clock.ts';
import { migrations } from '../../migrations/index.ts';
import { makeSmallFleet, temporaryFolder, writeSmallFolder } from '../hosts/small-fleet.ts';

// The same fleet, questions and moment, wherever the computer stands and whatever it speaks: the same days and the same
// bytes. Offsets of the zones: IANA time zone database. Auckland is 12 or 13 hours ahead of UTC, Los Angeles 7 or 8 behind.
const root = join(import.meta.dirname, '../..');
const home = temporaryFolder('zones');
const places = [
  { zone: 'UTC', language: 'C' },
  { zone: 'Pacific/Auckland', language: 'sv_SE.UTF-8' },
  { zone: 'America/Los_Angeles', language: 'tr_TR.UTF-8' },
];

beforeAll(() => {
  writeSmallFolder(home.file('folder'));
});
afterAll(home.clear);

/** What a program says that is run in another place. */
function saidIn({ zone, language }: (typeof places)[number], script: string): string {
  const run = spawnSync(process.execPath, ['--input-type=module', '-e', script], {
    encoding: 'utf8',
    env: { ...process.env, TZ: zone, LANG: language, LC_ALL: language },
    timeout: 200_000,
  });
  expect(run.stderr).toBe('');
  expect(run.status).toBe(0);
  return run.stdout;
}
const from = (path: string) => JSON.stringify(join(root, path));

test('imports, pages, rankings, due lists, calendars, registers and exports are the same in every zone and language', () => {
  const script = (folder: string) => `
    import { createHash } from 'node:crypto';
    import { readdirSync, readFileSync } from 'node:fs';
    import { openCore } from ${from('core/index.ts')};
    import { migrations } from ${from('migrations/index.ts')};
    const at = (name) => ${JSON.stringify(folder)} + '/' + name;
    const core = await openCore(at('here.fleet'), { migrations, now: () => '2025-03-09T10:30:00.000Z', who: 'x', create: true });
    const ask = async (name, input) => {
      const reply = await core.send(name, input);
      if (!reply.ok) throw new Error(name + ' ' + JSON.stringify(reply.problem));
      return reply.value;
    };
    const period = { from: '2012-01-01', to: '2024-12-31' };
    await ask('demo.write', { segments: 60 });
    const said = {};
    said.ranking = await ask('ranking.list', { csv: at('ranking.csv') });
    said.page = await ask('segment.page', { segmentId: (await ask('ranking.page', {})).rows[0].id });
    said.brief = await ask('retest.brief', { segment: 'S000001' });
    said.due = await ask('retest.due', { csv: at('due.csv'), ics: at('due.ics') });
    said.compliance = await ask('evidence.compliance', { ...period, csv: at('compliance.csv') });
    said.calibration = await ask('evidence.calibration', { ...period, csv: at('calibration.csv') });
    said.forecast = await ask('forecast.list', { csv: at('forecast.csv') });
    said.findings = await ask('findings.list', {});
    said.tree = await ask('fleet.tree', { under: null });
    await ask('ledger.export', { out: at('ledger.csv') });
    await ask('fleet.export', { out: at('folder') });
    said.files = readdirSync(at(''), { recursive: true, withFileTypes: true })
      .filter((entry) => entry.isFile() && !entry.name.includes('.fleet'))
      .map((entry) => [entry.name, createHash('sha256').update(readFileSync(entry.parentPath + '/' + entry.name)).digest('hex')])
      .sort();
    core.close();
    console.log(JSON.stringify(said, (key, value) => (key === 'seconds' ? undefined : value)).replaceAll(${JSON.stringify(folder)}, ''));`;
  const answers = places.map((place, i) => {
    const folder = home.file(`place-${i}`);
    mkdirSync(folder);
    return JSON.parse(saidIn(place, script(folder))) as Record<string, unknown>;
  });
  const written = (answers[0]!.files as [string, string][]).map(([name]) => name);
  for (const name of ['ranking', 'due', 'compliance', 'calibration', 'forecast', 'ledger', 'tests', 'segments'])
    expect(written).toContain(`${name}.csv`);
  expect(written).toContain('due.ics');
  for (const answer of answers.slice(1))
    for (const [question, value] of Object.entries(answers[0]!))
      expect([question, answer[question]]).toEqual([question, value]);
});

test('today is the day where the person is', () => {
  const script = (moment: string) => `
    import { dayHere } from ${from('electron/clock.ts')};
    console.log(dayHere(new Date(${JSON.stringify(moment)})));`;
  const [utc, auckland, losAngeles] = places;
  expect(saidIn(utc!, script('2025-01-01T00:30:00Z')).trim()).toBe('2025-01-01');
  expect(saidIn(auckland!, script('2025-01-01T20:30:00Z')).trim()).toBe('2025-01-02');
  expect(saidIn(losAngeles!, script('2025-01-01T00:30:00Z')).trim()).toBe('2024-12-31');
  expect(dayHere(new Date(2025, 1, 3))).toBe('2025-02-03');
});

test('a test made this morning in Auckland is not still to come, though it is yesterday in Greenwich', async () => {
  const file = await makeSmallFleet(home.file('auckland.fleet'), home.file('folder'));
  const db = new Database(file, { readonly: true });
  const segmentId = db.prepare("select id from segment where owner_id = 'C3'").pluck().get() as string;
  db.close();
  const core = await openCore(file, {
    migrations,
    now: () => '2025-06-01T21:00:00.000Z',
    day: () => '2025-06-02',
    who: 'crew lead',
  });
  const wish = (testedOn: string) => ({
    segmentId: segmentId as never,
    testedOn,
    insulationTempC: 12,
    instrumentId: null,
    crew: null,
    readings: [
      {
        phase: 'A' as const,
        voltageKv: 20,
        dwellMin: 15,
        leakage: 5,
        leakageUnit: 'uA' as const,
        outcome: 'withstood' as const,
      },
    ],
  });
  expect(await core.send('fleet.info', {})).toMatchObject({ ok: true, value: { today: '2025-06-02' } });
  expect(await core.send('retest.record', wish('2025-06-02'))).toMatchObject({ ok: true });
  expect(await core.send('retest.record', wish('2025-06-03'))).toMatchObject({
    ok: false,
    problem: { code: 'bad-input' },
  });
  core.close();
});
