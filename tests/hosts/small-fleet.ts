import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { openCore } from '../../core/index.ts';
import { migrations } from '../../migrations/index.ts';

/** A folder of this test run; `clear` removes it. */
export function temporaryFolder(name: string) {
  const folder = mkdtempSync(join(tmpdir(), `yearbook-${name}-`));
  return { folder, file: (part: string) => join(folder, part), clear: () => rmSync(folder, { recursive: true }) };
}

/** An invented feeder of three cables with a few years of tests, as a fleet folder. */
export function writeSmallFolder(folder: string): string {
  mkdirSync(folder, { recursive: true });
  const write = (name: string, lines: readonly string[]) => writeFileSync(join(folder, name), `${lines.join('\n')}\n`);
  write('substations.csv', ['substation_id,name', 'S1,Mill Lane']);
  write('feeders.csv', ['feeder_id,substation_id,name,nominal_kv', 'F1,S1,Mill Lane 3,15']);
  write('segments.csv', [
    'segment_id,feeder_id,name,length,length_unit,rated_kv,insulation,phases,energised_on',
    'C1,F1,Mill Lane to Weir,850,m,15,XLPE,ABC,1988-05-02',
    'C2,F1,Weir to Tannery,1.2,km,15,XLPE,ABC,1988-05-02',
    'C3,F1,Tannery to Quay,400,m,15,EPR,A,2004-09-10',
  ]);
  const tests = ['C1', 'C2', 'C3'].flatMap((segment, s) =>
    [2012, 2015, 2018, 2021, 2024].flatMap((year, y) =>
      (segment === 'C3' ? ['A'] : ['A', 'B', 'C']).map((phase, p) => {
        const leakage = (3 + s + 0.2 * p) * (1 + 0.12 * s) ** y;
        return `T-${segment}-${year},${segment},${year}-04-0${p + 1},${phase},dc_withstand,maintenance,20,15,${leakage.toFixed(2)},uA,12,withstood`;
      }),
    ),
  );
  write('tests.csv', [
    'test_id,segment_id,tested_on,phase,method,purpose,voltage_kv,dwell_min,leakage,leakage_unit,insulation_temp_c,outcome',
    ...tests.map((line) => line.replace(/-04-0[23]/, '-04-01')),
  ]);
  return folder;
}

/** The same as a fleet file. */
export async function makeSmallFleet(file: string, folder: string): Promise<string> {
  writeSmallFolder(folder);
  const core = await openCore(file, {
    migrations,
    now: () => '2025-06-01T08:00:00.000Z',
    who: 'crew lead',
    create: true,
  });
  const reply = await core.send('fleet.import', { paths: [folder], utilityName: 'Harrow Vale Municipal Power' });
  core.close();
  if (!reply.ok) throw new Error(JSON.stringify(reply.problem));
  if (!reply.value.committed) throw new Error(JSON.stringify(reply.value.refusedRows));
  return file;
}
