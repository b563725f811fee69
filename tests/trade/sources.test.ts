import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';

const room = join(import.meta.dirname, '../../core/trade');
const marks = new Set(['read', 'quoted', 'from memory, unverified', 'computed', 'common practice, no source']);

test('every row of every exported table of the trade room has a source with a document and a known mark', async () => {
  let rows = 0;
  for (const file of readdirSync(room)) {
    const exported: Record<string, unknown> = await import(join(room, file));
    for (const [name, table] of Object.entries(exported)) {
      if (!Array.isArray(table) || typeof table[0] !== 'object') continue;
      for (const row of table as { source?: { document: string; mark: string } }[]) {
        // Conductor sizes follow from the definition in ASTM B258, stated at the function that makes them.
        if (name === 'conductorSizes') continue;
        expect(row.source, `${file} ${name}`).toBeDefined();
        expect(row.source!.document.length, `${file} ${name}`).toBeGreaterThan(2);
        expect(marks.has(row.source!.mark), `${file} ${name}: ${row.source!.mark}`).toBe(true);
        rows++;
      }
    }
  }
  expect(rows).toBeGreaterThan(150);
});

test('what was only remembered is never shown as read: VLF of six classes, K, tan delta', async () => {
  const { vlfTable } = await import('../../core/trade/test-voltages.ts');
  const { resistanceConstants } = await import('../../core/trade/insulation.ts');
  const { tanDeltaLimits } = await import('../../core/trade/tan-delta.ts');
  for (const row of [
    ...vlfTable.filter((row) => ![5, 15].includes(row.ratedKv)),
    ...resistanceConstants,
    ...tanDeltaLimits,
  ])
    expect(row.source.mark).toBe('from memory, unverified');
});
