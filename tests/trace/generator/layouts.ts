import writeWorkbook from 'write-excel-file/node';
import type { MadeTrace } from './model.ts';

/** Twelve ways in which a tester might write its samples, all invented here. */
export interface WrittenTrace {
  readonly name: string;
  readonly bytes: Uint8Array;
}

const utf8 = (text: string): Uint8Array => new TextEncoder().encode(text);
const utf16 = (text: string, bigEndian: boolean): Uint8Array => {
  const bytes = new Uint8Array(2 + 2 * text.length);
  const view = new DataView(bytes.buffer);
  view.setUint16(0, 0xfeff, !bigEndian);
  for (let i = 0; i < text.length; i++) view.setUint16(2 + 2 * i, text.charCodeAt(i), !bigEndian);
  return bytes;
};
const windows1252 = (text: string): Uint8Array => Uint8Array.from(text, (letter) => letter.charCodeAt(0) & 0xff);

const decimals = (value: number, places: number): string => value.toFixed(places);
const comma = (value: number, places: number): string => decimals(value, places).replace('.', ',');
const clock = (seconds: number, places: number): string => {
  const whole = Math.floor(seconds / 60);
  const rest = (seconds - 60 * whole).toFixed(places).padStart(places > 0 ? 3 + places : 2, '0');
  return `${String(Math.floor(whole / 60)).padStart(2, '0')}:${String(whole % 60).padStart(2, '0')}:${rest}`;
};
const resistance = (kv: number, ua: number): number | null => (ua > 0 && kv > 0.1 ? (1000 * kv) / ua : null);

const rowsOf = (
  trace: MadeTrace,
  write: (t: number, kv: number, ua: number, i: number) => string,
  lineEnd = '\n',
): string =>
  Array.from(trace.timeS, (t, i) => write(t, trace.voltageKv[i]!, trace.currentUa[i]!, i)).join(lineEnd) + lineEnd;

type Layout = (trace: MadeTrace) => Uint8Array | Promise<Uint8Array>;

export const layouts: readonly { readonly name: string; readonly extension: string; readonly write: Layout }[] = [
  {
    name: 'plain',
    extension: 'csv',
    write: (trace) =>
      utf8(
        `Time (s),Voltage (kV),Current (uA)\n${rowsOf(trace, (t, kv, ua) => `${decimals(t, 2)},${decimals(kv, 2)},${decimals(ua, 4)}`)}`,
      ),
  },
  {
    name: 'decimal comma',
    extension: 'txt',
    write: (trace) =>
      windows1252(
        `Prüfobjekt: Tal-Süd 14\r\nLeiter: L2\r\nTemperatur: 12,5 °C\r\n\r\nZeit [s];Spannung [kV];Strom [µA]\r\n${rowsOf(trace, (t, kv, ua) => `${comma(t, 2)};${comma(kv, 2)};${comma(ua, 4)}`, '\r\n')}`,
      ),
  },
  {
    name: 'two header lines',
    extension: 'txt',
    write: (trace) =>
      utf16(
        `Cable\tMill Lane 3\r\nPhase\tB\r\nDate\t2021-06-14\r\nT\tU\tI\r\ns\tV\tnA\r\n${rowsOf(trace, (t, kv, ua) => `${decimals(t, 1)}\t${decimals(kv * 1000, 0)}\t${decimals(ua * 1000, 1)}`, '\r\n')}`,
        false,
      ),
  },
  {
    name: 'clock and gigohms',
    extension: 'csv',
    write: (trace) =>
      utf8(
        `Serial no: T-2044\nSegment: S000123\nPhase: C\nelapsed;kV;µA;GΩ\n${rowsOf(trace, (t, kv, ua) => `${clock(t, 1)};${decimals(kv, 2)};${decimals(ua, 4)};${resistance(kv, ua) === null ? '---' : decimals(resistance(kv, ua)! / 1000, 4)}`)}`,
      ),
  },
  {
    name: 'date and time with footer',
    extension: 'log',
    write: (trace) => {
      const start = Date.UTC(2019, 9, 7, 23, 55, 0);
      return utf8(
        `Timestamp,HV kV,Leakage uA,Resistance MOhm\n${rowsOf(trace, (t, kv, ua) => `${new Date(start + Math.round(t * 1000)).toISOString().replace('T', ' ').slice(0, 23)},${decimals(kv, 2)},${decimals(ua, 4)},${resistance(kv, ua) === null ? 'OL' : decimals(resistance(kv, ua)!, 1)}`)}\nEnd of record\nTested by: crew north\n`,
      );
    },
  },
  {
    name: 'aligned columns',
    extension: 'dat',
    write: (trace) =>
      utf8(
        `# Cable: Weir Road 7\n# Phase: A\n# Ambient temp: 64 F\n#   Time (s)   Voltage (kV)   Current (uA)\n${rowsOf(trace, (t, kv, ua) => `${decimals(t, 2).padStart(12)}${decimals(kv, 2).padStart(15)}${decimals(ua, 4).padStart(15)}`)}`,
      ),
  },
  {
    name: 'negative polarity',
    extension: 'txt',
    write: (trace) =>
      utf8(
        `t/s|V/kV|I/uA\n${rowsOf(trace, (t, kv, ua) => `${decimals(t, 2)}|${decimals(-kv, 2)}|${decimals(-ua, 4)}`)}`,
      ),
  },
  {
    name: 'workbook',
    extension: 'xlsx',
    write: async (trace) => {
      const text = (value: string) => ({ type: String, value });
      const number = (value: number) => ({ type: Number, value });
      const data = [
        [text('Segment'), text('Foundry Street 2'), null],
        [text('Phase'), text('A'), null],
        [text('Cable temp'), text('14 °C'), null],
        [null, null, null],
        [text('Elapsed time (s)'), text('Test voltage (kV)'), text('Leakage current (µA)')],
        ...Array.from(trace.timeS, (t, i) => [
          number(t),
          number(trace.voltageKv[i]!),
          number(Number(trace.currentUa[i]!.toFixed(4))),
        ]),
      ];
      return new Uint8Array(await writeWorkbook(data).toBuffer());
    },
  },
  {
    name: 'minutes and milliamperes',
    extension: 'csv',
    write: (trace) =>
      utf8(
        `Elapsed (min);U (kV);I (mA)\n${rowsOf(trace, (t, kv, ua) => `${decimals(t / 60, 6)};${decimals(kv, 2)};${decimals(ua / 1000, 7)}`)}`,
      ),
  },
  {
    name: 'milliseconds in powers of ten',
    extension: 'csv',
    write: (trace) =>
      utf8(
        `No.,t [ms],U [V],I [A]\n${rowsOf(trace, (t, kv, ua, i) => `${i + 1},${Math.round(t * 1000)},${(kv * 1000).toExponential(4)},${(ua * 1e-6).toExponential(5)}`)}`,
      ),
  },
  {
    name: 'units in the cells',
    extension: 'txt',
    write: (trace) =>
      utf8(
        `Test time\tOutput voltage\tLeakage current\n${rowsOf(trace, (t, kv, ua) => `${decimals(t, 2)} s\t${decimals(kv, 2)} kV\t${Math.abs(ua) < 1 ? `${decimals(ua * 1000, 1)} nA` : `${decimals(ua, 4)} µA`}`)}`,
      ),
  },
  {
    name: 'date and clock apart',
    extension: 'csv',
    write: (trace) =>
      utf16(
        `"Feeder","Hill 4"\r\n"Conductor","3"\r\n"Date","Time of day","Voltage, kV","Current, µA"\r\n${rowsOf(trace, (t, kv, ua) => `"05/23/2022","${clock(9 * 3600 + 30 * 60 + t, 2)}","${decimals(kv, 2)}","${decimals(ua, 4)}"`, '\r\n')}`,
        true,
      ),
  },
];

export const writeTrace = async (trace: MadeTrace, layout: number): Promise<WrittenTrace> => {
  const { name, extension, write } = layouts[layout]!;
  return { name: `${name}-${trace.plan.seed}.${extension}`, bytes: await write(trace) };
};
