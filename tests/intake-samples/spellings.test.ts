import { describe, expect, test } from 'vitest';
import { readSamples } from '../../core/intake/samples/read-samples.ts';

/** Further ways in which the same forty samples may be written, each with one oddity that has a name. */
const rows = (f: (t: number, v: number, a: number, i: number) => string): string =>
  Array.from({ length: 40 }, (_, i) => f(i * 0.5, kvAt(i), uaAt(i), i)).join('\n');
const kvAt = (i: number): number => (i < 10 ? 2 * i : 20);
const uaAt = (i: number): number => (i < 10 ? 80 : 5 + 10 / (i - 9));
const c = (x: number, places = 2): string => x.toFixed(places);
const k = (x: number, places = 2): string => x.toFixed(places).replace('.', ',');
const mmss = (t: number): string =>
  `${c(Math.floor(t / 60), 0).padStart(2, '0')}:${c(Math.floor(t % 60), 0).padStart(2, '0')}`;
const hms = (t: number): string => `00:${mmss(t)}.${Math.round((t % 1) * 10)}`;

const cases: Record<string, string> = {
  'minutes and seconds': `Time[min:sec]\tVolt kV\tLeak uA\n${rows((t, v, a) => `${mmss(t)}\t${c(v)}\t${c(a, 3)}`)}`,
  'a clock named in the unit line': `Elapsed,HV,Ileak\nhh:mm:ss,kV,uA\n${rows((t, v, a) => `${hms(t)},${c(v)},${c(a, 3)}`)}`,
  'a preamble of two cells a line':
    `Serial,12345\nCable ID,S000012\nPhase,B\nTest date,2023-04-05\n\nTime (s),Voltage (V),Current (nA)\n` +
    rows((t, v, a) => `${c(t, 1)},${c(v * 1000, 0)},${c(a * 1000, 1)}`),
  'powers of ten':
    `time_s,voltage_v,current_a\n` +
    rows((t, v, a) => `${c(t, 1)},${(v * 1000).toExponential(3)},${(a * 1e-6).toExponential(4)}`),
  'names with underscores':
    `time_s,voltage_kv,current_ua,resistance_mohm\n` +
    rows((t, v, a) => `${c(t, 1)},${c(v)},${c(a, 3)},${c((1000 * v) / a, 1)}`),
  'a delimiter too many': `t (s)\tU (kV)\tI (µA)\t\n${rows((t, v, a) => `${c(t, 1)}\t${c(v)}\t${c(a, 3)}\t`)}`,
  'decimal commas in quotes between commas': `"Zeit (s)","Spannung (kV)","Strom (µA)"\n${rows((t, v, a) => `"${k(t, 1)}","${k(v)}","${k(a, 3)}"`)}`,
  'no current: it follows from teraohms':
    `Insulation resistance (TΩ);Elapsed time (s);Voltage (V)\n` +
    rows((t, v, a) => `${c(v / a / 1000, 6)};${c(t, 1)};${c(v * 1000, 0)}`),
  'units in the preamble, one a line':
    `Voltage unit: kV\nCurrent unit: uA\nTime unit: s\nTime,Voltage,Current\n` +
    rows((t, v, a) => `${c(t, 1)},${c(v)},${c(a, 3)}`),
  'units in the preamble, in one line': `Units: s;kV;uA\nTime;Voltage;Current\n${rows((t, v, a) => `${c(t, 1)};${c(v)};${c(a, 3)}`)}`,
  'units as words of their own, no header': `Start of log\n${rows((t, v, a) => `${hms(t)} ${c(v)} kV ${c(a, 3)} uA`)}`,
  'units as words of their own': `Time Voltage Current\n${rows((t, v, a) => `${c(t, 1)} s ${c(v)} kV ${c(a, 3)} uA`)}`,
  'seconds since 1970': `timestamp,kV,uA\n${rows((t, v, a) => `${(1714731751 + t).toFixed(1)},${c(v)},${c(a, 3)}`)}`,
  'milliseconds since 1970': `timestamp,kV,uA\n${rows((t, v, a) => `${1714731751000 + t * 1000},${c(v)},${c(a, 3)}`)}`,
  'ISO 8601 in UTC': `timestamp;kV;uA\n${rows((t, v, a) => `${new Date(1714731751000 + t * 1000).toISOString()};${c(v)};${c(a, 3)}`)}`,
  'the US order, with AM':
    `Date/Time,Voltage(kV),Current(uA)\n` +
    rows((t, v, a) => `5/23/2024 10:1${Math.floor(t / 60)}:${c(t % 60, 1)} AM,${c(v)},${c(a, 3)}`),
  'points between thousands':
    `Zeit [s];Spannung [V];Strom [nA]\n` +
    rows(
      (t, v, a) =>
        `${k(t, 1)};${(v * 1000).toLocaleString('de-DE')};${(a * 1000).toLocaleString('de-DE', { minimumFractionDigits: 1 })}`,
    ),
  'a drawn line under the header':
    `DC withstand record\n==========\nSegment ............: S000044\nPhase ..............: C\n\n   Time       Voltage     Current\n   (s)        (kV)        (uA)\n-----------------------------------\n` +
    rows((t, v, a) => `${c(t, 1).padStart(8)}${c(v).padStart(12)}${c(a, 3).padStart(12)}`),
  'a column of remarks':
    `Time (s),Voltage (kV),Current (uA),Event\n` +
    rows((t, v, a, i) => `${c(t, 1)},${c(v)},${c(a, 3)},${i === 10 ? 'Target reached' : ''}`),
  'a remark among the samples':
    `# tester: X\n# segment = S000123\n# phase = A\ntime_s;voltage_kV;current_uA\n` +
    rows((t, v, a, i) => `${i === 20 ? '# range change\n' : ''}${c(t, 1)};${c(v)};${c(a, 3)}`),
  'a unit that changes with the range':
    `Time (s),Voltage (kV),Current,Unit\n` +
    rows((t, v, a) => (a > 50 ? `${c(t, 1)},${c(v)},${c(a / 1000, 5)},mA` : `${c(t, 1)},${c(v)},${c(a, 3)},uA`)),
};

describe('other spellings of the same samples', () => {
  test.each(Object.entries(cases))('%s', async (name, text) => {
    const file = await readSamples(new TextEncoder().encode(text), 'file.csv');
    if (!file.ok) throw new Error(file.because);
    expect(file.samples.timeS).toHaveLength(40);
    for (let i = 1; i < 40; i++) {
      // A clock of whole seconds cannot say on which half of them a sample lies.
      expect(Math.abs(file.samples.timeS[i]! - i * 0.5)).toBeLessThan(name === 'minutes and seconds' ? 0.51 : 1e-6);
      expect(file.samples.voltageKv[i]).toBeCloseTo(kvAt(i), 6);
      expect(Math.abs(file.samples.currentUa[i]! - uaAt(i))).toBeLessThan(name.includes('teraohms') ? 1.5 : 0.0011);
    }
  });

  test('what stands in the preambles is understood', async () => {
    const subject = async (name: string) => {
      const file = await readSamples(new TextEncoder().encode(cases[name]), 'file.csv');
      return file.ok ? file.subject : null;
    };
    expect(await subject('a preamble of two cells a line')).toMatchObject({
      segmentText: 'S000012',
      phase: 'B',
      testedOn: '2023-04-05',
      instrumentSerial: '12345',
    });
    expect(await subject('a drawn line under the header')).toMatchObject({ segmentText: 'S000044', phase: 'C' });
    expect(await subject('a remark among the samples')).toMatchObject({ segmentText: 'S000123', phase: 'A' });
    expect(await subject('seconds since 1970')).toMatchObject({ testedOn: '2024-05-03' });
  });
});
