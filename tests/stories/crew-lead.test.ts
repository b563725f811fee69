import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { SegmentPage } from '../../core/contract/asks/segment.ts';
import { computedCapacitance } from '../../core/trade/geometry.ts';
import { drop, eventually, noWindow, openWindow, type Window } from '../places/window.ts';
import { drawPlan, type MadeTrace, makeTrace } from '../trace/generator/model.ts';
import { askFromPage, downloaded, wordsOfPdf, writeAll, writeUtility } from './steps.ts';

let window: Window;
const page = () => window.page;

const phases = ['A', 'B', 'C'] as const;
/** The paper cables of the old town, for which the table of test voltages has direct voltage. */
const letters = 'Tann';
/** Of the insulation, on the day of the test, °C. */
const temperature = 16;
const testedOn = new Date(Date.now() - 86_400_000).toISOString().slice(0, 10);

/** One phase's withstand at the brief's voltage: circuit theory's cable with this one's capacitance, at the leakage that was foretold. */
function traceOf(segment: SegmentPage, at: { kv: number; min: number; ua: number }, seed: number): MadeTrace {
  const capacitance = computedCapacitance({
    insulation: segment.insulation,
    conductorDiameterMm: segment.conductorDiameterMm,
    insulationThicknessMm: segment.insulationThicknessMm,
    lengthKm: segment.lengthM / 1000,
  });
  if (!capacitance.known) throw new Error(capacitance.because);
  return makeTrace({
    ...drawPlan(seed),
    kind: 'withstand',
    targetKv: at.kv,
    kvPerS: 1,
    dwellS: at.min * 60,
    capacitanceNf: capacitance.value.nf,
    steadyUa: at.ua,
    absorptionUa: at.ua * 5,
    n: 0.9,
  });
}

const rowsOf = ({ timeS, voltageKv, currentUa }: MadeTrace): string =>
  Array.from(timeS, (t, i) => `${t.toFixed(2)},${voltageKv[i]!.toFixed(2)},${currentUa[i]!.toFixed(4)}`).join('\n');

const fileOf = (segment: SegmentPage, phase: string, trace: MadeTrace): string =>
  [
    `Segment: ${segment.ownerId}`,
    `Phase: ${phase}`,
    `Date: ${testedOn}`,
    'Serial no: M-2203',
    `Cable temp: ${temperature} °C`,
    'Time (s),Voltage (kV),Current (uA)',
    rowsOf(trace),
    '',
  ].join('\n');

describe.skipIf(noWindow)('the crew lead’s day', () => {
  let keys = 0;
  let name: string;
  let planned: { kv: number; min: number; ua: number };
  const press = async (key: string): Promise<void> => {
    keys++;
    await page().keyboard.press(key);
  };
  beforeAll(async () => {
    window = await openWindow({ segments: 1, make: (file) => writeUtility(file) });
  });
  afterAll(() => window?.close());

  test('finds a segment by four characters of its name, and sees every phase across the years', async () => {
    await page().locator('.first-look tbody tr').first().waitFor();
    await page().keyboard.press('Control+k');
    // The list of fewer letters may still stand for a moment: wait for the answer to all four, and for it to be drawn.
    const asked = page().waitForRequest(
      (request) => request.url().endsWith('/ask/fleet.find') && request.postDataJSON().text === letters,
    );
    await page().keyboard.type(letters);
    // Asked again in the same words: a browser need not keep the body of an answer that it has handed on.
    const found = await askFromPage(page(), 'fleet.find', (await asked).postDataJSON());
    if (!found.ok) throw new Error(found.problem.message);
    const names = found.value.hits.map((hit) => hit.name);
    await eventually(() => page().getByRole('listbox', { name: 'Found' }).getAttribute('aria-busy')).toBe('false');
    const hits = page().getByRole('option');
    await eventually(() => hits.locator('.strong').allInnerTexts()).toEqual(names);
    // The feeder may be called the same and stand above its segments.
    const kinds = await hits.locator('.caption').allInnerTexts();
    for (let down = kinds.indexOf('segment'); down > 0; down--) await press('ArrowDown');
    name = await page().locator('.find-hit[aria-selected=true] .strong').innerText();
    expect(name.startsWith(letters)).toBe(true);
    await press('Enter');
    await page().getByRole('heading', { name, level: 1 }).waitFor();
    const table = page().locator('.tests-table');
    const heads = (await table.locator('thead th').allInnerTexts()).join(' ');
    for (const phase of phases) expect(heads).toContain(`${phase}, µA`);
    const tested = await table.locator('tbody .fold').allInnerTexts();
    expect(new Set(tested.map((day) => day.slice(0, 4))).size).toBeGreaterThan(1);
  });

  test('gets the brief at today’s temperature, printed, in at most eight keys after the name', async () => {
    await press('b');
    await page().locator('.brief h1').waitFor();
    const expected = page().locator('.expected-figure').first();
    const before = await expected.innerText();
    await press('c');
    for (const digit of String(temperature)) await press(digit);
    await press('Enter');
    const field = page().getByLabel(/^Temperature of the insulation/);
    await eventually(() => expected.innerText()).not.toBe(before);
    expect(Number(await field.inputValue())).toBe(temperature);
    const pdf = join(window.folder, 'brief.pdf');
    await downloaded(page(), () => press('p'), pdf);
    expect(keys).toBeLessThanOrEqual(8);

    // The sheet says what the screen says: voltage, reading to expect, interval, stop, earth, caution.
    expect(await page().locator('.voltage-says').innerText()).toMatch(/^At most [\d.]+\skV DC/);
    const figure = Number.parseFloat(await expected.innerText());
    planned = {
      kv: Number(await page().getByLabel('Test voltage, kV DC').inputValue()),
      min: Number(await page().getByLabel('Minutes at that voltage').inputValue()),
      ua: figure,
    };
    expect(planned.kv).toBeGreaterThan(0);
    expect(await page().locator('.expected-phase').first().innerText()).toMatch(/to .*9 times in 10/s);
    expect(await page().locator('.expected-phase').last().innerText()).toMatch(/min\s+at the least, before touching/);
    const margin = await page().locator('.brief').innerText();
    for (const part of ['Stop when', 'After the voltage is off', 'ocal codes']) expect(margin).toContain(part);
    const words = wordsOfPdf(pdf);
    if (words === null) return;
    expect(words).toContain(name);
    expect(words).toMatch(new RegExp(`${temperature}(\\.0)?\\s*°C`));
    expect(words).toContain(String(figure));
  });

  test('back from the field, drops the tester’s files: each is tied to its segment and phase', async () => {
    await page().getByRole('link', { name: 'its page' }).click();
    await page().locator('.tests-table').waitFor();
    const segmentId = new URL(page().url()).hash.split('/').at(-1) as SegmentPage['id'];
    const asked = await askFromPage(page(), 'segment.page', { segmentId });
    if (!asked.ok) throw new Error(asked.problem.message);
    const stick = join(window.folder, 'stick');
    mkdirSync(stick);
    const paths = writeAll(stick, {
      ...Object.fromEntries(
        phases.map((phase, p) => [
          `run ${phase}.csv`,
          fileOf(asked.value, phase, traceOf(asked.value, planned, 40 + p)),
        ]),
      ),
      'no units.csv': `time,voltage,current\n${rowsOf(traceOf(asked.value, planned, 43))}\n`,
    });
    await drop(page(), paths);
    await page().getByRole('button', { name: 'Accept 3 files' }).waitFor();
    for (const phase of phases) {
      const file = `run ${phase}.csv`;
      expect(await page().getByLabel(`Segment of ${file}`).inputValue()).toBe(segmentId);
      expect(await page().getByLabel(`Phase of ${file}`).inputValue()).toBe(phase);
      expect(await page().getByLabel(`Day of ${file}`).inputValue()).toBe(testedOn);
      const row = page().locator('.tester-files tr').filter({ hasText: file });
      await eventually(() => row.innerText()).toMatch(/withstood .*kV for .*min · .*µA/);
    }
    const refused = page().locator('.tester-files tr[data-verdict="refused"]');
    expect(await refused.innerText()).toMatch(/no units\.csv\s+Cannot be read: .*unit/);
  });

  test('accepts them together; the one that cannot be read goes back with its reason', async () => {
    await page().getByRole('button', { name: 'Accept 3 files' }).click();
    await eventually(() => page().locator('.taken').innerText()).toMatch(/3 files as 1 test, one entry of the ledger/);
    await page().getByRole('button', { name: 'Set 1 unreadable file aside' }).click();
    await page()
      .getByRole('button', { name: /unreadable/ })
      .waitFor({ state: 'detached' });
    await eventually(() => page().locator('.tester-files').innerText()).toMatch(
      /no units\.csv\s+Cannot be read: .*set aside/,
    );
  });

  test('sees the new test on the segment’s page, each phase near what the brief foretold', async () => {
    await page().locator('.taken').getByRole('link', { name }).click();
    await page().getByRole('heading', { name, level: 1 }).waitFor();
    const row = page().locator('.tests-table tbody tr').first();
    await eventually(() => row.locator('.fold').innerText()).toBe(testedOn);
    const cells = await row.locator('td').allInnerTexts();
    expect(Number(cells[1])).toBeCloseTo(planned.kv, 0);
    for (const reading of cells.slice(4, 7)) {
      expect(Number(reading)).toBeGreaterThan(planned.ua * 0.8);
      expect(Number(reading)).toBeLessThan(planned.ua * 1.3);
    }
    await row.locator('.fold').click();
    expect(await page().locator('.tests-table tr.readings').innerText()).toMatch(/A[\s\S]*B[\s\S]*C/);
  });

  test('without a complaint from the page', () => {
    expect(window.complaints).toEqual([]);
  });
});
