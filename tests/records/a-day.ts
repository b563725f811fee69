import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { openCore } from '../../core/index.ts';
import { computedCapacitance } from '../../core/trade/geometry.ts';
import { migrations } from '../../migrations/index.ts';
import { drawPlan, type MadeTrace, makeTrace } from '../trace/generator/model.ts';

/** An invented day of a test crew: nine cables, three phases each, and the files that came home on the stick. */

export const testedOn = '2025-05-14';
const day = (pattern: string): string => pattern.replace('Y', '2025').replace('M', '05').replace('D', '14');

interface Cable {
  readonly id: string;
  readonly name: string;
  readonly lengthM: number;
}

export const cables: readonly Cable[] = [
  ['FH-101', 'Foundry Street to Weir'],
  ['FH-102', 'Weir to Tannery Yard'],
  ['FH-103', 'Tannery Yard to Quay 3'],
  ['MD-220', 'Old Mill to Bobbin Works'],
  ['MD-221', 'Bobbin Works to Chapel'],
  ['MD-222', 'Chapel to Upper Terrace'],
  ['HV-017', 'Reservoir Road North'],
  ['HV-018', 'Reservoir Road South'],
  ['HV-019', 'Observatory Hill'],
].map(([id, name], i) => ({ id: id!, name: name!, lengthM: 310 + 97 * i }));

const dimensions = { insulation: 'XLPE', conductorDiameterMm: 14.2, insulationThicknessMm: 5.6 } as const;

export const capacitanceNfOf = (cable: Cable): number => {
  const computed = computedCapacitance({ ...dimensions, lengthKm: cable.lengthM / 1000 });
  if (!computed.known) throw new Error(computed.because);
  return computed.value.nf;
};

/** A fleet folder with the day's cables. */
export function writeDayFolder(folder: string): string {
  mkdirSync(folder, { recursive: true });
  const write = (name: string, lines: readonly string[]) => writeFileSync(join(folder, name), `${lines.join('\n')}\n`);
  write('substations.csv', ['substation_id,name', 'S1,Harrow Vale']);
  write('feeders.csv', [
    'feeder_id,substation_id,name,nominal_kv',
    'F1,S1,Foundry,15',
    'F2,S1,Mill,15',
    'F3,S1,Hill,15',
  ]);
  write('segments.csv', [
    'segment_id,feeder_id,name,length,length_unit,rated_kv,insulation,conductor_diameter_mm,insulation_thickness_mm,phases,energised_on',
    ...cables.map(
      ({ id, name, lengthM }, i) =>
        `${id},F${1 + Math.floor(i / 3)},${name},${lengthM},m,15,XLPE,14.2,5.6,ABC,1994-06-01`,
    ),
  ]);
  write('instruments.csv', ['instrument_id,serial,description', 'I1,T-2044,the invented tester']);
  write('calibrations.csv', ['calibration_id,instrument_id,calibrated_on,due_on', 'K1,I1,2025-01-10,2026-01-10']);
  return folder;
}

export async function makeDayFleet(file: string, folder: string): Promise<string> {
  const core = await openCore(file, {
    migrations,
    now: () => '2025-05-15T07:00:00.000Z',
    who: 'crew lead',
    create: true,
  });
  const reply = await core.send('fleet.import', {
    paths: [writeDayFolder(folder)],
    utilityName: 'Harrow Vale Municipal Power',
  });
  core.close();
  if (!reply.ok) throw new Error(JSON.stringify(reply.problem));
  return file;
}

export interface DayFile {
  readonly name: string;
  readonly bytes: Uint8Array;
  readonly cable: string | null;
  readonly phase: 'A' | 'B' | 'C' | null;
  readonly trace: MadeTrace | null;
}

const utf8 = (text: string): Uint8Array => new TextEncoder().encode(text);
const rowsOf = (trace: MadeTrace, line: (t: number, kv: number, ua: number) => string): string =>
  `${Array.from(trace.timeS, (t, i) => line(t, trace.voltageKv[i]!, trace.currentUa[i]!)).join('\n')}\n`;
const comma = (value: number, places: number): string => value.toFixed(places).replace('.', ',');

/** A short withstand of the cable: the physical model with its own capacitance. */
const traceOf = (cable: Cable, seed: number): MadeTrace =>
  makeTrace({
    ...drawPlan(seed),
    kind: 'withstand',
    targetKv: 20,
    kvPerS: 1,
    dwellS: 300,
    capacitanceNf: capacitanceNfOf(cable),
  });

/** Twenty-seven files that say whose they are, each maker in its own way, and three that cannot be taken. */
export function filesOfDay(): DayFile[] {
  const files = cables.flatMap((cable, c) =>
    (['A', 'B', 'C'] as const).map((phase, p): DayFile => {
      const trace = traceOf(cable, 100 + 3 * c + p);
      const { name, text } = writtenBy(Math.floor(c / 3), cable, phase, p, trace);
      return { name, bytes: utf8(text), cable: cable.id, phase, trace };
    }),
  );
  const odd = files[1]!.trace!;
  const none = { cable: null, phase: null, trace: null };
  return [
    ...files,
    { ...none, name: 'photo of the joint.jpg', bytes: Uint8Array.from({ length: 4000 }, (_, i) => (i * 7919) % 251) },
    {
      ...none,
      name: 'cut short.csv',
      bytes: utf8(
        `Segment: FH-101\nPhase: A\nSamples: 9000\nTime (s),Voltage (kV),Current (uA)\n${rowsOf(odd, plainRow)}`,
      ),
    },
    { ...none, name: 'no units.csv', bytes: utf8(`time,voltage,current\n${rowsOf(odd, plainRow)}`) },
  ];
}

const plainRow = (t: number, kv: number, ua: number): string => `${t.toFixed(2)},${kv.toFixed(2)},${ua.toFixed(4)}`;

function writtenBy(maker: number, cable: Cable, phase: 'A' | 'B' | 'C', p: number, trace: MadeTrace) {
  if (maker === 0)
    return {
      name: `run ${cable.id} ${phase}.csv`,
      text: `Segment: ${cable.id}\nPhase: ${phase}\nDate: ${testedOn}\nSerial no: T-2044\nCable temp: 13.5 °C\nTime (s),Voltage (kV),Current (uA)\n${rowsOf(trace, plainRow)}`,
    };
  if (maker === 1)
    return {
      // The third file of a cable leaves its phase unsaid: the other two do not.
      name: `${cable.id.toLowerCase()}-${p}.txt`,
      text: `Prüfobjekt: ${cable.name.replace('Works', 'Work')}\n${p === 2 ? '' : `Leiter: L${p + 1}\n`}Datum: ${day('D.M.Y')}\nTemperatur: 13,5 °C\nZeit [s];Spannung [kV];Strom [µA]\n${rowsOf(trace, (t, kv, ua) => `${comma(t, 2)};${comma(kv, 2)};${comma(ua, 4)}`)}`,
    };
  return {
    name: `${cable.id}_${phase}_${day('YMD')}.log`,
    text: `elapsed\tkV\tnA\n${rowsOf(trace, (t, kv, ua) => `${t.toFixed(1)}\t${kv.toFixed(2)}\t${(ua * 1000).toFixed(1)}`)}`,
  };
}
