import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { AskName, InputOf, OutputOf } from '../../core/contract/asks/index.ts';
import { type Core, openCore } from '../../core/index.ts';
import { migrations } from '../../migrations/index.ts';

export const today = '2025-11-25';

// ICEA S-97-682 as a cable maker's sheet of 2010 reproduces it: class, level, at installation, first five years.
export const printedIcea = [
  [5, 100, 28, 9],
  [5, 133, 36, 11],
  [8, 100, 36, 11],
  [8, 133, 44, 14],
  [15, 100, 56, 18],
  [15, 133, 64, 20],
  [25, 100, 80, 25],
  [25, 133, 96, 30],
  [28, 100, 84, 26],
  [28, 133, 100, 31],
  [35, 100, 100, 31],
  [35, 133, 124, 39],
  [46, 100, 132, 41],
  [46, 133, 172, 54],
] as const;

// UFGS 16302N pages 40–41, paper-lead cable, new.
export const printedPaper = [
  [5, 100, 30],
  [15, 100, 65],
  [15, 133, 85],
  [25, 100, 105],
  [25, 133, 135],
  [28, 100, 115],
  [35, 100, 145],
] as const;

const extruded = ['HMWPE', 'XLPE', 'TR-XLPE', 'EPR', 'PVC', 'other'] as const;

/** A fleet folder with a cable of every printed class and level, new, young and aged, and one with a long history. */
function writeFolder(folder: string): void {
  const write = (name: string, lines: readonly string[]) => writeFileSync(join(folder, name), `${lines.join('\n')}\n`);
  write('substations.csv', ['substation_id,name,region', 'S1,Mill,north', 'S2,Weir,south']);
  write('feeders.csv', ['feeder_id,substation_id,name,nominal_kv', 'F1,S1,Mill 1,15', 'F2,S2,Weir 1,25']);
  const segments: string[] = [];
  const tests: string[] = [];
  const segment = (
    id: string,
    kv: number,
    level: number,
    insulation: string,
    energised: string,
    more: { retired?: string; critical?: string } = {},
  ) =>
    segments.push(
      `${id},${segments.length % 2 === 0 ? 'F1' : 'F2'},Cable ${id},from ${id},to ${id},412,m,${kv},${level},${insulation},Al,107,11.9,5.6,ABC,duct,${energised},${more.retired ?? ''},40,yes,${more.critical ?? 'no'}`,
    );
  const test = (id: string, on: string, kv: number, ua: readonly number[], purpose = 'maintenance') =>
    ['A', 'B', 'C'].forEach((phase, p) => {
      tests.push(
        `T-${id}-${on},${id},${on},${phase},dc_withstand,${purpose},${kv},15,${ua[p]},uA,14,withstood,I1,West`,
      );
    });
  for (const [kv, level, install] of printedIcea) {
    segment(`new-${kv}-${level}`, kv, level, 'XLPE', '2025-12-01');
    segment(`started-${kv}-${level}`, kv, level, 'XLPE', '2025-09-01');
    segment(`young-${kv}-${level}`, kv, level, 'TR-XLPE', '2022-03-01');
    test(`young-${kv}-${level}`, '2022-02-20', install, [1.1, 1.2, 1.0], 'acceptance');
  }
  for (const [kv, level] of printedPaper) {
    segment(`paper-new-${kv}-${level}`, kv, level, 'PILC', '2025-12-01');
    segment(`paper-${kv}-${level}`, kv, level, 'PILC', '1975-03-01');
    for (const year of [2013, 2017, 2021]) test(`paper-${kv}-${level}`, `${year}-05-04`, 20, [20, 21, 22]);
  }
  for (const insulation of extruded)
    for (const level of [100, 133]) {
      const id = `aged-${insulation}-${level}`;
      segment(id, 15, level, insulation, '1990-05-01', { critical: 'yes' });
      for (const year of [2012, 2016, 2020, 2024])
        test(
          id,
          `${year}-06-10`,
          20,
          [2, 2.2, 1.9].map((ua) => ua * 1.05 ** (year - 2012)),
        );
    }
  segment('retired', 15, 100, 'XLPE', '1985-01-01', { retired: '2020-01-01' });
  segment('seven', 15, 133, 'PILC', '1979-01-15');
  for (let n = 0; n < 7; n++) test('seven', `${2011 + 2 * n}-07-1${n}`, 20, [25 + n, 26 + n, 24 + n]);
  segment('full', 15, 133, 'PILC', '1979-10-22');
  for (let n = 0; n < 12; n++) test('full', `${2003 + 2 * n}-07-1${n % 9}`, 20, [25 + n, 26 + n, 24 + n]);
  write('segments.csv', [
    'segment_id,feeder_id,name,from_point,to_point,length,length_unit,rated_kv,insulation_level_pct,insulation,conductor_material,conductor_area_mm2,conductor_diameter_mm,insulation_thickness_mm,phases,installation,energised_on,retired_on,customers,alternate_supply,critical_load',
    ...segments,
  ]);
  write('tests.csv', [
    'test_id,segment_id,tested_on,phase,method,purpose,voltage_kv,dwell_min,leakage,leakage_unit,insulation_temp_c,outcome,instrument_id,crew',
    ...tests,
  ]);
  write('splices.csv', [
    'splice_id,segment_id,phase,position_m,kind,installed_on',
    ...Array.from(
      { length: 9 },
      (_, n) => `SP${n},full,,${20 + 42 * n},${n % 2 ? 'cold_shrink' : 'taped'},${1980 + 4 * n}-06-01`,
    ),
  ]);
  write('interventions.csv', [
    'intervention_id,segment_id,done_on,kind',
    ...[1996, 2004, 2012, 2016].map((year, n) => `V${n},full,${year}-06-01,splice_renewed`),
  ]);
  write('failures.csv', [
    'failure_id,segment_id,failed_on,phase,part,cause',
    ...[1996, 2004, 2012].map((year, n) => `X${n},full,${year}-05-20,B,splice,water in the splice`),
  ]);
  write('instruments.csv', ['instrument_id,serial,description', 'I1,B-2002,80 kV tester', 'I2,B-2003,80 kV tester']);
  write('calibrations.csv', [
    'calibration_id,instrument_id,calibrated_on,due_on',
    'K1,I1,2025-03-01,2026-03-01',
    'K2,I2,2023-03-01,2024-03-01',
  ]);
}

export interface RetestFleet {
  readonly folder: string;
  readonly core: Core;
  readonly ask: <N extends AskName>(name: N, input: InputOf<N>) => Promise<OutputOf<N>>;
  close(): void;
}

/** The folder as a fleet file, open. */
export async function openRetestFleet(): Promise<RetestFleet> {
  const folder = mkdtempSync(join(tmpdir(), 'yearbook-retest-'));
  writeFolder(folder);
  const core = await openCore(join(folder, 'a.fleet'), {
    migrations,
    now: () => `${today}T08:00:00.000Z`,
    who: 'crew lead',
    create: true,
  });
  const ask: RetestFleet['ask'] = async (name, input) => {
    const reply = await core.send(name, input);
    if (!reply.ok) throw new Error(`${reply.problem.code}: ${reply.problem.message}`);
    return reply.value;
  };
  const answer = await ask('fleet.import', { paths: [folder], utilityName: 'Harrow Vale Municipal Power' });
  if (!answer.committed) throw new Error(JSON.stringify(answer));
  return {
    folder,
    core,
    ask,
    close() {
      core.close();
      rmSync(folder, { recursive: true });
    },
  };
}
