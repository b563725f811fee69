import { zipSync } from 'fflate';
import { describe, expect, test } from 'vitest';
import { zipBounds } from '../../core/intake/samples/archives.ts';
import { readSampleFiles, readSamples } from '../../core/intake/samples/read-samples.ts';

const utf8 = (text: string): Uint8Array => new TextEncoder().encode(text);
const rows = (write: (i: number) => string, count = 12): string =>
  Array.from({ length: count }, (_, i) => write(i)).join('\n');
const because = async (bytes: Uint8Array | string, name = 'file.csv'): Promise<string> => {
  const file = await readSamples(typeof bytes === 'string' ? utf8(bytes) : bytes, name);
  return file.ok
    ? `read: ${file.layout.columns.map((column) => `${column.role} ${column.unit}`).join(', ')}`
    : file.because;
};

describe('what cannot be read is refused, and the reason says what to do', () => {
  test.each<[string, string | Uint8Array, RegExp]>([
    ['an empty file', '', /empty/],
    ['blank lines', '\n\n  \n', /no text/],
    ['a letter', 'Dear crew,\nthe tester is in the van.\nRegards', /no table/],
    ['a picture', Uint8Array.from({ length: 3000 }, (_, i) => (i * 7919) % 256), /binary/],
    ['zeros', new Uint8Array(2000), /binary/],
    ['no column of time', `Voltage (kV),Current (uA)\n${rows((i) => `${i % 3},${5 - (i % 4)}`)}`, /no column of time/],
    ['a constant time', `Time (s),Voltage (kV),Current (uA)\n${rows((i) => `5,${i},${i}`)}`, /time/],
    [
      'time running backwards',
      `Time (s),Voltage (kV),Current (uA)\n${rows((i) => `${50 - i},20,${i + 1}`)}`,
      /backwards/,
    ],
    ['all zero', `Time (s),Voltage (kV),Current (uA)\n${rows((i) => `${i},0,0`)}`, /zero throughout/],
    ['zero current', `Time (s),Voltage (kV),Current (uA)\n${rows((i) => `${i},20,0`)}`, /current is zero/],
    ['no voltage', `Time (s),Current (uA)\n${rows((i) => `${i},${i + 1}`)}`, /no column of voltage/],
    ['no current', `Time (s),Voltage (kV)\n${rows((i) => `${i},20`)}`, /no column of current/],
    ['three samples', 'Time (s),Voltage (kV),Current (uA)\n0,1,2\n1,2,3\n2,3,4', /only 3 rows/],
    ['a current of no unit', `Time (s),Voltage (kV),Current\n${rows((i) => `${i},20,${i + 1}`)}`, /nA, µA or mA/],
    ['minutes or seconds', `Time,Voltage (kV),Current (uA)\n${rows((i) => `${i},20,${i + 1}`)}`, /seconds or minutes/],
    [
      'a file cut short by its own word',
      `Samples: 900\nTime (s),Voltage (kV),Current (uA)\n${rows((i) => `${i},20,${i + 1}`)}`,
      /cut short/,
    ],
    [
      'volts that are kilovolts',
      `Time (s),Voltage (kV),Current (uA)\n${rows((i) => `${i},20000,${i + 1}`)}`,
      /beyond any cable test/,
    ],
  ])('%s', async (_, bytes, reason) => {
    expect(await because(bytes)).toMatch(reason);
  });

  test('a ZIP cut short, a ZIP in a ZIP, a ZIP of too many files, a bomb', async () => {
    const good = zipSync({ 'a.csv': utf8(`Time (s),U (kV),I (uA)\n${rows((i) => `${i},20,${i + 1}`)}`) });
    const said = async (bytes: Uint8Array): Promise<string> =>
      (await readSampleFiles(bytes, 'day.zip')).map((file) => (file.ok ? 'read' : file.because)).join(' / ');
    expect(await said(good)).toBe('read');
    expect(await said(good.subarray(0, good.length - 30))).toMatch(/damaged or cut short/);
    expect(await said(zipSync({ 'inner.zip': good }))).toMatch(/ZIP inside a ZIP/);
    const many = Object.fromEntries(Array.from({ length: zipBounds.entries + 1 }, (_, i) => [`${i}.csv`, utf8('1')]));
    expect(await said(zipSync(many))).toMatch(/more than 500 files/);
    const bomb = zipSync({ 'bomb.csv': new Uint8Array(zipBounds.entryBytes + 1) });
    expect(bomb.length).toBeLessThan(200_000);
    expect(await said(bomb)).toMatch(/larger than 64 MB/);
  });

  test('a workbook cut short', async () => {
    expect(await because(Uint8Array.of(0x50, 0x4b, 3, 4, 9, 9, 9, 9), 'x.xlsx')).toMatch(/ZIP|damaged/);
  });
});

describe('a refusal carries the guess, so that a person corrects it and the next file of the kind needs no word', () => {
  const text = (shift: number): Uint8Array =>
    utf8(`Cable: Quarry ${shift}\nTime;U;I\n${rows((i) => `${i * 0.2};20;${i + 1 + shift}`, 20)}`);
  test('correct the unit once', async () => {
    const first = await readSamples(text(1), 'one.csv');
    if (first.ok || first.layout === null) throw new Error('should be refused with a guess');
    expect(first.preview[0]).toEqual(['Time', 'U', 'I']);
    const corrected = {
      ...first.layout,
      columns: first.layout.columns.map((column) => (column.role === 'current' ? { ...column, unit: 'nA' } : column)),
    };
    const again = await readSamples(text(1), 'one.csv', corrected);
    expect(again.ok && again.samples.currentUa[0]).toBe(0.002);
    const [second] = await readSampleFiles(text(5), 'two.csv', (fingerprint) =>
      fingerprint === corrected.fingerprint ? corrected : undefined,
    );
    expect(second?.ok && second.samples.currentUa[0]).toBe(0.006);
    expect(second?.ok && second.subject.segmentText).toBe('Quarry 5');
  });
});
