import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Brief } from '../../core/contract/shapes/retest.ts';
import { foreseen } from '../../core/tasks/retest-foreseen.ts';
import { openRetestFleet, printedIcea, printedPaper, type RetestFleet } from './a-fleet.ts';

let fleet: RetestFleet;
beforeAll(async () => {
  fleet = await openRetestFleet();
});
afterAll(() => fleet.close());
const brief = (segment: string, more: object = {}) => fleet.ask('retest.brief', { segment, ...more });

describe('the voltage on the brief', () => {
  test.each(printedIcea)(
    '%i kV at %i percent is that of ICEA S-97-682: %i new, %i in the first five years',
    async (kv, level, install, first5) => {
      const fresh = await brief(`new-${kv}-${level}`);
      expect(fresh.purpose).toBe('acceptance');
      expect(fresh.voltage).toMatchObject({
        advised: true,
        voltageKv: install,
        duration: { known: true, minutes: 15 },
      });
      expect(fresh.voltage.advised && fresh.voltage.table).toContain('ICEA S-97-682');
      // In service for three months and never tested: the voltage for installation is past.
      const started = await brief(`started-${kv}-${level}`);
      expect(started).toMatchObject({ purpose: 'maintenance', voltage: { advised: true, voltageKv: first5 } });
      const young = await brief(`young-${kv}-${level}`);
      expect(young.voltage).toMatchObject({ advised: true, voltageKv: first5, duration: { known: true, minutes: 5 } });
      // Its last test was at the voltage for new cable, which the table no longer allows.
      expect(young.planned.voltageKv).toMatchObject({ known: true, value: first5 });
      expect(young.planned.dwellMin.value).toBe(5);
    },
  );

  test.each(printedPaper)(
    '%i kV at %i percent paper-lead is that of UFGS 16302N: %i new, three quarters of it in service',
    async (kv, level, printed) => {
      const fresh = await brief(`paper-new-${kv}-${level}`);
      expect(fresh.voltage).toMatchObject({ advised: true, voltageKv: printed });
      expect(fresh.voltage.advised && fresh.voltage.table).toContain('UFGS 16302N');
      const old = await brief(`paper-${kv}-${level}`);
      // Mercier & Ticker 1998: initial test at 80 %, maintenance at 60 % of the factory test.
      expect(old.voltage).toMatchObject({ advised: true, voltageKv: Math.round(75 * printed) / 100 });
      expect(old.cautions.map((one) => one.says).join(' ')).toContain('ceiling');
      expect(old.planned.voltageKv).toMatchObject({
        known: true,
        value: 20,
        from: expect.stringContaining('2021-05-04'),
      });
    },
  );

  test.each(['HMWPE', 'XLPE', 'TR-XLPE', 'EPR', 'PVC', 'other'])(
    'none for %s in service since 1990: the caution, and what is accepted instead',
    async (insulation) => {
      for (const level of [100, 133]) {
        const old = await brief(`aged-${insulation}-${level}`);
        expect(old.voltage.advised).toBe(false);
        expect(old.voltage).not.toHaveProperty('voltageKv');
        expect(old.planned.voltageKv.known).toBe(false);
        expect(old.expected.every(({ reading }) => !reading.known)).toBe(true);
        // Reclamation FIST 4-1B, page 13; IEEE 400.2 and 400.3 for what is accepted.
        expect(old.cautions.map((one) => one.source).join(' ')).toContain('FIST 4-1B');
        expect(old.alternatives.map((one) => one.standard)).toEqual(
          expect.arrayContaining(['IEEE 400.2', 'IEEE 400.3']),
        );
        expect(old.sentence).toContain('no direct voltage is advised');
      }
    },
  );

  test('one that the lead types for an aged cable is foretold for, and said not to be advised', async () => {
    const old = await brief('aged-XLPE-133', { voltageKv: 20, tempC: 14 });
    expect(old.voltage.advised).toBe(false);
    expect(old.planned.voltageKv).toMatchObject({
      known: true,
      value: 20,
      from: expect.stringContaining('no direct voltage is advised'),
    });
    expect(old.expected.every(({ reading }) => reading.known)).toBe(true);
    // No step that reads like an instruction to apply it.
    expect(old.ramp.says).toContain('not advised');
    expect(old.ramp.says).not.toMatch(/raise/i);
    expect((await brief('young-15-133')).ramp.says).toMatch(/^Raise in 5 equal steps/);
  });

  test('one above the table is named so', async () => {
    const young = await brief('young-15-133', { voltageKv: 64 });
    expect(young.planned.voltageKv).toMatchObject({ from: expect.stringContaining('above the 20 kV') });
  });
});

const figuresOf = ({ expected }: Brief) =>
  expected.map(({ reading }) => {
    if (!reading.known) throw new Error(reading.because);
    return reading;
  });

describe('the reading to expect', () => {
  test('follows the record: at the last test’s conditions the interval holds what was read then', async () => {
    const made = await brief('full', { tempC: 14 });
    for (const { ua } of figuresOf(made)) {
      expect(ua.lo).toBeLessThan(36);
      expect(ua.hi).toBeGreaterThan(33);
      expect(ua.value).toBeGreaterThan(ua.lo);
    }
  });

  test('rises with temperature; where none is typed the season’s own is taken', async () => {
    const [typed] = figuresOf(await brief('full', { tempC: 14 }));
    const [warm] = figuresOf(await brief('full', { tempC: 25 }));
    expect(warm!.ua.value).toBeGreaterThan(typed!.ua.value);
    const season = await brief('full');
    expect(season.planned.tempC.value).toBeCloseTo(14, 0);
    expect(season.planned.tempC.from).toContain('season');
  });

  test('stands beside its limit: 30 nS/km × 20 kV × 0.412 km at 20 °C is 247 µA', async () => {
    const made = await brief('full', { tempC: 20, voltageKv: 20, dwellMin: 15 });
    const limit = made.standing.known ? made.standing.limitNsPerKm! : Number.NaN;
    for (const { limitUa } of figuresOf(made)) expect(limitUa! / (limit * 20 * 0.412)).toBeCloseTo(1, 1);
  });
});

describe('what the expected readings themselves would set off', () => {
  const phase = (name: 'A' | 'B' | 'C', value: number, hi: number, limitUa: number | null) => ({
    phase: name,
    reading: { known: true as const, ua: { value, lo: value / 2, hi }, farUa: 2 * hi, limitUa },
  });

  test('is said phase by phase: above the limit, perhaps above it, further apart than the stop rule’s 3 : 1', () => {
    // 3 : 1 is from memory, unverified (core/trade/step-test.ts); 4 ÷ 1 is beyond it, 2.9 ÷ 1 is not.
    const said = foreseen([phase('A', 10, 14, 30), phase('B', 25, 33, 30), phase('C', 40, 60, 30)]);
    expect(said).toHaveLength(3);
    expect(said[0]).toMatch(/^Phase C: expected above the limit of one phase, 30 µA: C 40\./);
    expect(said[1]).toBe('Phase B: perhaps above the limit of one phase, 30 µA: up to B 33.');
    expect(said[2]).toMatch(/^Phases A, C: expected 4\.0 : 1 apart, beyond the 3 : 1 of the stop rule/);
    expect(foreseen([phase('A', 10, 14, 30), phase('B', 29, 30, 30)])).toEqual([]);
    expect(foreseen([phase('A', 10, 14, null), phase('C', 20, 60, null)])).toEqual([]);
  });

  test('stands on the brief and its sheet where a lower limit was set; the limit is named as that of one phase', async () => {
    const own = await openRetestFleet();
    const quiet = await own.ask('retest.brief', { segment: 'full', tempC: 14 });
    expect(quiet.foreseen).toEqual([]);
    await own.ask('policy.setLimits', {
      limits: [{ insulation: 'PILC', nsPerKm: 3 }],
      source: 'a strict board',
      reason: 'to see it said',
    });
    const pdf = join(own.folder, 'strict.pdf');
    const { briefs, words } = await own.ask('retest.round', { segments: ['full'], temp: 14, pdf });
    expect(briefs[0]!.foreseen).toEqual([
      expect.stringMatching(/^Phases A, B, C: expected above the limit of one phase, /),
    ]);
    expect(words.join('\n')).toContain('expected above the limit of one phase');
    expect(briefs[0]!.stop.map((one) => one.says).join(' ')).toContain(
      'taken for each phase (the ranking holds the mean of the phases against it)',
    );
    expect(pagesOf(readFileSync(pdf))).toBe(1);
    own.close();
  });
});

describe('what comes after', () => {
  test('earth for four times the time of the voltage (IEEE 43)', async () => {
    expect((await brief('full')).earthing.minutes).toBe(60);
    expect((await brief('full', { dwellMin: 5 })).earthing.minutes).toBe(20);
  });

  test('the energy is half of C times V squared, C of a coaxial cable from its dimensions', async () => {
    const made = await brief('full', { voltageKv: 20 });
    // 2π · 8.8541878 pF/m · 4.3 (largest permittivity kept for paper) · 412 m / ln((11.9 + 2 · 5.6) / 11.9).
    const farad = (2 * Math.PI * 8.8541878e-12 * 4.3 * 412) / Math.log((11.9 + 11.2) / 11.9);
    expect(made.energy).toMatchObject({ known: true, energyJ: expect.closeTo(0.5 * farad * 20_000 ** 2, 1) });
  });

  test('a rising current at constant voltage comes before every other reason to stop', async () => {
    const made = await brief('full');
    expect(made.stop[0]!.says).toMatch(/rises while the voltage stands still/);
    expect(made.stop.map((one) => one.says).join(' ')).toMatch(/3 : 1 apart.*limit of/);
  });
});

test('the checklist says whether the instrument used last is in calibration, and defers to local codes', async () => {
  const made = await brief('full');
  expect(made.checklist[0]).toMatchObject({
    item: 'Instrument',
    says: 'Last used here B-2002: calibration due 2026-03-01.',
  });
  expect(made.footer).toMatch(/^Local codes and licensed practice decide/);
});

test('a segment is found by owner’s id, name, or a beginning that no other has; several are named', async () => {
  const { segmentId } = await brief('full');
  for (const typed of ['Cable full', 'cable FULL', 'ful', segmentId])
    expect((await brief(typed)).segmentId).toBe(segmentId);
  const reply = await fleet.core.send('retest.brief', { segment: 'aged-X' });
  expect(reply).toMatchObject({
    ok: false,
    problem: { code: 'bad-input', details: expect.arrayContaining([expect.stringContaining('aged-XLPE-100')]) },
  });
  expect(await fleet.core.send('retest.brief', { segment: 'nowhere' })).toMatchObject({
    ok: false,
    problem: { code: 'not-found' },
  });
});

/** Pages by the page objects themselves, which stand uncompressed in the file. */
const pagesOf = (bytes: Buffer) => bytes.toString('latin1').match(/\/Type \/Page\b(?!s)/g)?.length ?? 0;

describe('the sheet', () => {
  test.each(['A4', 'Letter'] as const)('is one page of %s for a segment with 12 tests and 9 splices', async (paper) => {
    const pdf = join(fleet.folder, `full-${paper}.pdf`);
    const { briefs } = await fleet.ask('retest.round', { segments: ['full'], paper, pdf });
    expect([briefs[0]!.tests.length, briefs[0]!.splices.length]).toEqual([12, 9]);
    expect(pagesOf(readFileSync(pdf))).toBe(1);
  });

  test.each(['A4', 'Letter'] as const)(
    'is one page of %s for each segment of a round, aged, young, with a voltage typed',
    async (paper) => {
      const pdf = join(fleet.folder, `round-${paper}.pdf`);
      const segments = ['full', 'aged-EPR-133', 'young-15-133', 'paper-25-133', 'new-35-133'];
      await fleet.ask('retest.round', { segments, paper, pdf, units: 'us', voltage: 18, temp: 12.5 });
      expect(pagesOf(readFileSync(pdf))).toBe(segments.length);
      // The cautions of paper-lead cable, the ramp and seven tests leave little room for a pen.
      await fleet.ask('retest.round', { segments: ['seven', 'paper-15-133'], paper, pdf });
      expect(pagesOf(readFileSync(pdf))).toBe(2);
    },
  );

  test.each(['A4', 'Letter'] as const)(
    'on %s sets the reading to expect in its largest figures, and carries footer, ledger and every test',
    async (paper) => {
      const pdf = join(fleet.folder, `text-${paper}.pdf`);
      const { briefs } = await fleet.ask('retest.round', { segments: ['full'], paper, pdf, temp: 14 });
      let boxes: string;
      try {
        boxes = execFileSync('pdftotext', ['-bbox', pdf, '-'], { encoding: 'utf8' });
      } catch {
        return console.log('The words of the brief are not read: poppler (pdftotext) is not installed.');
      }
      const words = [...boxes.matchAll(/yMin="([\d.]+)"[^>]*yMax="([\d.]+)">([^<]*)</g)].map((found) => ({
        height: Number(found[2]) - Number(found[1]),
        text: found[3]!,
      }));
      const largest = Math.max(...words.map((word) => word.height));
      const figures = figuresOf(briefs[0]!).map(({ ua }) => ua.value.toFixed(1));
      expect(words.filter((word) => word.height > largest - 0.5).map((word) => word.text)).toEqual(figures);
      const text = words.map((word) => word.text).join(' ');
      for (const each of briefs[0]!.tests) expect(text).toContain(each.testedOn);
      expect(text).toContain('Local codes and licensed practice decide');
      expect(text).toMatch(/SHA-256 [0-9a-f]{64}/);
    },
  );
});
