import { describe, expect, test } from 'vitest';
import { readSamples } from '../../core/intake/samples/read-samples.ts';
import { phaseOf } from '../../core/intake/samples/subject.ts';
import { dateOf } from '../../core/intake/samples/times.ts';
import { unitInHeader, unitOf } from '../../core/intake/samples/units.ts';
import { layouts, writeTrace } from '../trace/generator/layouts.ts';
import { drawPlan, makeTrace } from '../trace/generator/model.ts';

const utf8 = (text: string): Uint8Array => new TextEncoder().encode(text);
const read = async (text: string, name = 'file.csv') => {
  const file = await readSamples(utf8(text), name);
  if (!file.ok) throw new Error(file.because);
  return file;
};

describe('the same samples come out of every layout, to the last digit written', () => {
  const made = makeTrace(drawPlan(21));
  test.each(layouts.map((layout, at) => [layout.name, at] as const))('%s', async (name, at) => {
    const written = await writeTrace(made, at);
    const file = await readSamples(written.bytes, written.name);
    if (!file.ok) throw new Error(file.because);
    expect(file.samples.timeS).toHaveLength(made.timeS.length);
    const originS = /clock apart|date and time/.test(name) ? made.timeS[0]! : 0;
    for (let i = 0; i < made.timeS.length; i++) {
      expect(Math.abs(file.samples.timeS[i]! + originS - made.timeS[i]!)).toBeLessThan(6e-5);
      expect(Math.abs(Math.abs(file.samples.voltageKv[i]!) - made.voltageKv[i]!)).toBeLessThan(
        0.0006 * Math.max(1, made.voltageKv[i]!),
      );
      expect(Math.abs(Math.abs(file.samples.currentUa[i]!) - Math.abs(made.currentUa[i]!))).toBeLessThan(
        1e-4 * Math.max(1, Math.abs(made.currentUa[i]!)),
      );
    }
  });
});

test('what the words around the samples say: segment, phase, day, temperature, plan, result', async () => {
  const file = await read(
    `Test object: Weir Road 7\nPhase: L3\nTest date: 14.06.2021 09:12\nInstrument serial: H-77\nCable temperature: 59 °F\nAmbient: 21 °C\nHumidity: 48 %\nTest voltage: 20 kV\nDwell: 15 min\nResult: aborted by operator\n\nTime (s);U (kV);I (µA)\n${Array.from({ length: 9 }, (_, i) => `${i};20;${i + 1}`).join('\n')}`,
  );
  expect(file.subject).toEqual({
    segmentText: 'Weir Road 7',
    phase: 'C',
    testedOn: '2021-06-14',
    testedOnText: '14.06.2021 09:12',
    instrumentSerial: 'H-77',
    tempC: 15,
    ambientC: 21,
    humidityPct: 48,
    plannedDwellS: 900,
    plannedKv: 20,
    resultText: 'aborted by operator',
    crew: null,
  });
});

test('a file name says segment, phase and day where the file does not', async () => {
  const body = `Time (s);U (kV);I (µA)\n${Array.from({ length: 9 }, (_, i) => `${i};20;${i + 1}`).join('\n')}`;
  const file = await read(body, 'S000123_phB_2020-05-17.csv');
  expect(file.subject).toMatchObject({ segmentText: 'S000123', phase: 'B', testedOn: '2020-05-17' });
  expect((await read(body, 'Mill Lane 3 L1 20190402.csv')).subject).toMatchObject({
    segmentText: 'Mill Lane 3',
    phase: 'A',
    testedOn: '2019-04-02',
  });
});

test('day and month that cannot be told apart are left open', async () => {
  const file = await read(
    `Date: 03/05/2024\nTime (s);U (kV);I (µA)\n${Array.from({ length: 9 }, (_, i) => `${i};20;${i + 1}`).join('\n')}`,
    'x.csv',
  );
  expect(file.subject).toMatchObject({ testedOn: null, testedOnText: '03/05/2024' });
  expect(dateOf('23/05/2024')).toMatchObject({ day: 23, month: 5, ambiguous: false });
  expect(dateOf('May 3, 2024')).toMatchObject({ day: 3, month: 5, year: 2024 });
  expect(dateOf('3 May 2024')).toMatchObject({ day: 3, month: 5 });
  expect(dateOf('31.02.2024')).toBeNull();
});

test('a clock of whole seconds at five samples a second is spread evenly between its ticks', async () => {
  const stamp = (i: number): string => `10:00:${String(Math.floor(i / 5)).padStart(2, '0')}`;
  const file = await read(
    `Time;U (kV);I (uA)\n${Array.from({ length: 50 }, (_, i) => `${stamp(i)};20;${100 - i}`).join('\n')}`,
  );
  for (let i = 0; i < 50; i++) expect(file.samples.timeS[i]).toBeCloseTo(i * 0.2, 6);
  expect(file.findings.join()).toMatch(/spread evenly/);
});

test('a wall clock passes midnight', async () => {
  const clock = (i: number): string =>
    new Date(Date.UTC(2020, 0, 1, 23, 59, 50) + i * 1000).toISOString().slice(11, 19);
  const file = await read(
    `Time;U (kV);I (uA)\n${Array.from({ length: 30 }, (_, i) => `${clock(i)};20;${100 - i}`).join('\n')}`,
  );
  expect(file.samples.timeS[29]).toBe(29);
});

test('no header: columns are told apart by their values, but the unit of current is asked for', async () => {
  const body = Array.from(
    { length: 40 },
    (_, i) => `${(i * 0.5).toFixed(1)} ${i < 5 ? i * 4 : 20} ${i < 5 ? 80 : (10 / (i - 4)).toFixed(3)}`,
  ).join('\n');
  const file = await readSamples(utf8(body), 'bare.txt');
  expect(file.ok).toBe(false);
  expect(file.layout?.columns.map((column) => column.role)).toEqual(['time', 'voltage', 'current']);
});

test('resistance settles a unit of current that nothing says, as R = V/I', async () => {
  const body = Array.from(
    { length: 40 },
    (_, i) => `${i * 0.5};20;${i + 1};${((20 / ((i + 1) * 1e-3)) * 1).toFixed(3)}`,
  ).join('\n');
  const file = await read(`Time (s);U (kV);I;R (GOhm)\n${body}`);
  expect(file.layout.columns[2]).toMatchObject({ unit: 'nA' });
  expect(file.layout.doubts.join()).toMatch(/follows from voltage and resistance/);
});

test('a resistance that is off V/I by a thousand is a finding', async () => {
  const body = Array.from({ length: 40 }, (_, i) => `${i * 0.5};20;${i + 1};${(20 / (i + 1)).toFixed(4)}`).join('\n');
  const file = await read(`Time (s);U (kV);I (uA);R (MOhm)\n${body}`);
  expect(file.findings.join()).toMatch(/factor of about 0\.001/);
});

test('units as they are spelled; milli and mega are told apart, and insulation is never milliohms', () => {
  expect(
    [
      'kV',
      'KV',
      'V',
      'µA',
      'μA',
      'uA',
      'microamps',
      'nA',
      'mA',
      'MΩ',
      'MΩ',
      'mohm',
      'GOhm',
      'TΩ',
      'sec',
      'ms',
      'min',
    ].map((word) => unitOf(word)?.unit),
  ).toEqual([
    'kV',
    'kV',
    'V',
    'uA',
    'uA',
    'uA',
    'uA',
    'nA',
    'mA',
    'MOhm',
    'MOhm',
    'MOhm',
    'GOhm',
    'TOhm',
    's',
    'ms',
    'min',
  ]);
  expect(unitOf('MA')).toBeNull();
  expect(
    ['Current [µA]', 'I/uA', 'Leakage_nA', 'Voltage, kV', 'time in min', 'Current A'].map(
      (name) => unitInHeader(name)?.unit ?? null,
    ),
  ).toEqual(['uA', 'uA', 'nA', 'kV', 'min', null]);
  expect(['A', 'phase b', 'L3', 'S', '1', 'neutral'].map(phaseOf)).toEqual(['A', 'B', 'C', 'B', 'A', null]);
});
