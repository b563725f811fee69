import { describe, expect, test } from 'vitest';
import type { InsulationFamily } from '../../core/trade/insulation.ts';
import { iceaDcTable, sheathTests, sheathVoltageKv, ufgsDcTable, vlfTable } from '../../core/trade/test-voltages.ts';
import { testVoltageAdvice, type VoltageQuestion } from '../../core/trade/voltage-advice.ts';

const ask = (over: Partial<VoltageQuestion> = {}) =>
  testVoltageAdvice({
    ratedKv: 15,
    insulationLevelPct: 133,
    insulation: 'XLPE',
    ageYears: 0,
    purpose: 'acceptance',
    ...over,
  });

// ICEA S-97-682 as a cable maker's sheet of 2010 reproduces it: class, level, at installation, first five years.
const printedIcea = [
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

describe('DC voltages of extruded cable, ICEA S-97-682', () => {
  test.each(printedIcea)(
    '%i kV at %i %%: %i kV new, %i kV in the first five years',
    (ratedKv, level, install, first5) => {
      for (const insulation of ['XLPE', 'TR-XLPE', 'EPR'] as const) {
        const fresh = ask({ ratedKv, insulationLevelPct: level, insulation });
        expect(fresh).toMatchObject({ dc: 'advised', tableId: 'icea-s-97-682', voltageKv: install });
        expect(fresh).toMatchObject({ duration: { known: true, minutes: 15, source: { mark: 'quoted' } } });
        const young = ask({ ratedKv, insulationLevelPct: level, insulation, ageYears: 4, purpose: 'maintenance' });
        expect(young).toMatchObject({ dc: 'advised', tableId: 'icea-s-97-682', voltageKv: first5 });
        expect(young).toMatchObject({ duration: { minutes: 5, source: { mark: 'from memory, unverified' } } });
      }
    },
  );

  test('the ratio of first five years to installation is 0.306 to 0.321 in all 14 cells, which a slip would break', () => {
    expect(iceaDcTable).toHaveLength(14);
    for (const row of iceaDcTable) {
      expect(row.firstFiveYearsKv / row.installKv).toBeGreaterThanOrEqual(0.3055);
      expect(row.firstFiveYearsKv / row.installKv).toBeLessThanOrEqual(0.3215);
    }
  });

  test('34.5 kV is the 35 kV class', () => {
    expect(ask({ ratedKv: 34.5, insulationLevelPct: 100 })).toMatchObject({ dc: 'advised', voltageKv: 100 });
  });
});

// UFGS 16302N pages 40–41.
const printedPaper = [
  [5, 100, 30],
  [15, 100, 65],
  [15, 133, 85],
  [25, 100, 105],
  [25, 133, 135],
  [28, 100, 115],
  [35, 100, 145],
] as const;

describe('DC voltages of paper-lead cable, UFGS 16302N', () => {
  test.each(printedPaper)('%i kV at %i %%: %i kV new', (ratedKv, level, kv) => {
    const advice = ask({ ratedKv, insulationLevelPct: level, insulation: 'PILC' });
    expect(advice).toMatchObject({ dc: 'advised', tableId: 'ufgs-16302n', voltageKv: kv });
  });

  test('10 % less where the jacket is not metallic', () => {
    expect(ask({ insulation: 'PILC', nonMetallicJacket: true })).toMatchObject({ voltageKv: 76.5 });
  });

  test('in service three quarters of it, marked as computed, with the caution that it is a ceiling', () => {
    // Mercier & Ticker 1998: initial test at 80 %, maintenance at 60 % of the factory test.
    const advice = ask({ insulation: 'PILC', ageYears: 40, purpose: 'maintenance' });
    expect(advice).toMatchObject({ dc: 'advised', voltageKv: 63.75, source: { mark: 'computed' } });
    expect(advice.cautions.map((caution) => caution.says).join(' ')).toContain('ceiling');
  });

  test('no DC voltage where extruded cable hangs behind a transition splice', () => {
    const advice = ask({ insulation: 'PILC', ageYears: 40, purpose: 'maintenance', joinedToExtruded: true });
    expect(advice.dc).toBe('not advised');
  });
});

test('the two tables disagree at 15 and 25 kV, 133 %, and stay apart under their own names', () => {
  const kv = (ratedKv: number) => [
    iceaDcTable.find((row) => row.ratedKv === ratedKv && row.levelPct === 133)!.installKv,
    ufgsDcTable.find((row) => row.classKv === ratedKv && row.levelPct === 133)!.withoutConnectorsKv,
  ];
  expect(kv(15)).toEqual([64, 65]);
  expect(kv(25)).toEqual([96, 100]);
  const advice = ask();
  expect(advice).toMatchObject({ voltageKv: 64, otherTables: [{ tableId: 'ufgs-16302n', voltageKv: 53 }] });
});

// ICEA S-97-682: from the day the cable goes into service the voltages of the first five years hold, tested or not.
test('from the first day in service on, no voltage for installation is given again', () => {
  for (const ageYears of [0.01, 0.5, 1]) {
    expect(ask({ purpose: 'acceptance', ageYears })).toMatchObject({ voltageKv: 20, otherTables: [] });
    expect(ask({ purpose: 'acceptance', ageYears, insulation: 'PILC' })).toMatchObject({ voltageKv: 63.75 });
  }
});

// UFGS 16302N, page 41: a tenth less for a jacket that is not metallic.
test('paper-lead cable whose jacket nobody recorded carries the caution of the jacket', () => {
  const says = (more: object) => ask({ insulation: 'PILC', ageYears: 30, ...more }).cautions.map((one) => one.says);
  expect(says({}).join(' ')).toContain('10 % less');
  expect(says({ nonMetallicJacket: true }).join(' ')).not.toContain('10 % less');
  expect(ask({ insulation: 'PILC', ageYears: 30, nonMetallicJacket: true })).toMatchObject({ voltageKv: 57.38 });
});

describe('service-aged extruded insulation', () => {
  const extruded: InsulationFamily[] = ['HMWPE', 'XLPE', 'TR-XLPE', 'EPR', 'PVC', 'other'];
  test('never a DC voltage past five years, at any class, level or purpose; always the caution and the alternatives', () => {
    let asked = 0;
    for (const insulation of extruded)
      for (const ratedKv of [5, 8, 15, 25, 28, 34.5, 35, 46, 12.47, null])
        for (const insulationLevelPct of [100, 133, 173, null])
          for (const purpose of ['acceptance', 'maintenance', 'after_repair'] as const)
            for (const ageYears of [5.01, 20, 60, null]) {
              const advice = ask({ insulation, ratedKv, insulationLevelPct, purpose, ageYears });
              expect(advice.dc).toBe('not advised');
              expect(advice).not.toHaveProperty('voltageKv');
              expect(advice.cautions.map((caution) => caution.source.document)).toContain('Reclamation FIST 4-1B');
              expect(advice.alternatives.map((a) => a.standard)).toEqual(
                expect.arrayContaining(['IEEE 400.2', 'IEEE 400.3']),
              );
              asked++;
            }
    expect(asked).toBe(6 * 10 * 4 * 3 * 4);
  });

  test('the VLF alternative carries the voltage of its class: 15 kV 30 acceptance, 22 maintenance (IEEE 400.2-2013)', () => {
    expect(ask({ ageYears: 30, purpose: 'maintenance' }).alternatives[0]).toMatchObject({
      name: 'VLF withstand',
      peakKv: 22,
      source: { mark: 'quoted' },
    });
    expect(ask({ ageYears: 30, purpose: 'acceptance' }).alternatives[0]).toMatchObject({ peakKv: 30 });
    expect(vlfTable.filter((row) => row.source.mark === 'quoted').map((row) => row.ratedKv)).toEqual([5, 15]);
  });
});

test('a class or level that no table lists gets no voltage and a reason that names the classes', () => {
  expect(ask({ ratedKv: 12.47 })).toMatchObject({
    dc: 'not advised',
    because: expect.stringContaining('5, 8, 15, 25'),
  });
  expect(ask({ insulationLevelPct: 173 })).toMatchObject({
    dc: 'not advised',
    because: expect.stringContaining('173 %'),
  });
});

test('oversheath: 4 kV/mm, never above 10 kV (IEC 60229); PVC 3 kV (HD 620/621)', () => {
  expect(sheathVoltageKv(sheathTests[2]!, 2)).toBe(8);
  expect(sheathVoltageKv(sheathTests[2]!, 3)).toBe(10);
  expect(sheathVoltageKv(sheathTests[0]!, 2)).toBe(3);
});
