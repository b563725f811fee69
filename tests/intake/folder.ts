import { mkdirSync, mkdtempSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { openCore, type SendOptions } from '../../core/index.ts';
import { migrations } from '../../migrations/index.ts';

/** A small fleet folder by hand: one feeder, three segments, five readings. */
export const smallFolder: Readonly<Record<string, string>> = {
  'substations.csv': 'substation_id,name,region\nU1,Old Wharf,old town\n',
  'feeders.csv': 'feeder_id,substation_id,name,nominal_kv,customers,peak_load_kva\nF1,U1,Mill Lane,13.2,410,1800\n',
  'segments.csv': [
    'segment_id,feeder_id,name,from_point,to_point,length,length_unit,rated_kv,insulation_level_pct,insulation,phases,energised_on,retired_on,replaces_segment_id,customers,alternate_supply,critical_load',
    'S1,F1,Mill Lane 1,vault 1,vault 2,250.5,m,15,133,XLPE,ABC,1984-05-01,,,12,yes,no',
    'S2,F1,Mill Lane 2,vault 2,vault 3,1200,ft,15,133,HMWPE,ABC,1975-05-01,2019-06-30,,30,no,',
    'S3,F1,Mill Lane 2 new,vault 2,vault 3,1.2,kft,15,133,TR-XLPE,ABC,2019-07-01,,S2,30,no,yes',
    '',
  ].join('\n'),
  'splices.csv':
    'splice_id,segment_id,phase,position_m,kind,installed_on,removed_on\nJ1,S1,ABC,101.5,heat_shrink,1984-05-01,\n',
  'interventions.csv': 'intervention_id,segment_id,done_on,kind,note\nV1,S1,2012-04-01,splice_added,\n',
  'instruments.csv': 'instrument_id,serial,description\nI1,A-1,"DC tester, 80 kV"\n',
  'calibrations.csv':
    'calibration_id,instrument_id,calibrated_on,due_on,certificate\nK1,I1,2015-02-01,2016-02-01,C-15\n',
  'tests.csv': [
    'test_id,segment_id,tested_on,phase,method,purpose,voltage_kv,dwell_min,leakage,leakage_unit,below_floor,insulation_temp_c,ambient_temp_c,humidity_pct,outcome,instrument_id,crew,note',
    'T1,S1,2015-06-01,A,dc_withstand,maintenance,20,15,3.5,uA,false,14.5,18,60,withstood,I1,mill,',
    'T1,S1,2015-06-01,B,dc_withstand,maintenance,20,15,800,nA,false,14.5,18,60,withstood,I1,mill,',
    'T1,S1,2015-06-01,C,dc_withstand,maintenance,20,15,1,uA,true,14.5,18,60,withstood,I1,mill,"under the floor, so noted"',
    'T2,S3,2021-06-01,A,dc_step,,4,1,0.2,uA,,,,,withstood,,vale,',
    'T2,S3,2021-06-01,A,dc_step,,8,1,0.5,uA,,,,,withstood,,vale,',
    '',
  ].join('\n'),
  'limits.csv': 'insulation,limit_ns_per_km\nXLPE,7.5\n',
};

export const newDir = (): string => mkdtempSync(join(tmpdir(), 'yearbook-'));

/** Writes files into a folder of a new directory and says where it is. */
export function writeFolder(files: Readonly<Record<string, string | Uint8Array>>): string {
  const folder = join(newDir(), 'folder');
  mkdirSync(folder);
  for (const [name, content] of Object.entries(files)) writeFileSync(join(folder, name), content);
  return folder;
}

/** The small folder with one file changed. */
export const withFile = (name: string, change: (text: string) => string): Record<string, string> => ({
  ...smallFolder,
  [name]: change(smallFolder[name] ?? ''),
});

export const bytesOf = (folder: string): Record<string, string> =>
  Object.fromEntries(
    readdirSync(folder)
      .sort()
      .map((name) => [name, readFileSync(join(folder, name), 'utf8')]),
  );

/** A core on a new fleet file. */
export async function newFleet(file = join(newDir(), 'test.fleet')) {
  const core = await openCore(file, {
    migrations,
    now: () => '2026-01-15T08:00:00.000Z',
    who: 'crew lead',
    create: true,
  });
  return {
    file,
    core,
    /** Sends and expects to be served. */
    async take(
      paths: string[],
      more: { dryRun?: boolean; preview?: string; refused?: string } = {},
      options: SendOptions = {},
    ) {
      const reply = await core.send('fleet.import', { paths, ...more }, options);
      if (!reply.ok) throw new Error([reply.problem.message, ...(reply.problem.details ?? [])].join('\n'));
      return reply.value;
    },
    /** Sends and expects to be refused. */
    async refused(paths: string[], more: { preview?: string; refused?: string } = {}, options: SendOptions = {}) {
      const reply = await core.send('fleet.import', { paths, ...more }, options);
      if (reply.ok) throw new Error('was taken');
      return reply.problem;
    },
  };
}
