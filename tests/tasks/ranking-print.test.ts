import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { InputOf } from '../../core/contract/asks/index.ts';
import { aCore, type TestCore } from './a-core.ts';

// poppler's pdftotext and pdfinfo read the PDF independently of what made it.
const hasPoppler = (() => {
  try {
    execFileSync('pdfinfo', ['-v'], { stdio: 'ignore' });
    return true;
  } catch {
    console.log('skipped: poppler (pdfinfo, pdftotext) is not installed');
    return false;
  }
})();

let t: TestCore;
beforeAll(async () => {
  t = await aCore();
  await t.ask('demo.write', { segments: 60, seed: 5 });
});
afterAll(() => t.close());

async function printed(input: Omit<InputOf<'ranking.print'>, 'pdf'>) {
  const pdf = join(t.folder, 'ranking.pdf');
  const answer = await t.ask('ranking.print', { pdf, ...input });
  return {
    answer,
    bytes: readFileSync(pdf),
    text: execFileSync('pdftotext', ['-layout', pdf, '-'], { encoding: 'utf8' }),
    info: execFileSync('pdfinfo', [pdf], { encoding: 'utf8' }),
  };
}

describe.skipIf(!hasPoppler)('the printed ranking', () => {
  test('holds every ranked segment in order, on numbered pages, with the ledger’s head and the caution', async () => {
    const { rows } = await t.ask('ranking.page', { count: 200 });
    const { answer, text, info } = await printed({});
    expect(answer).toEqual({ printed: rows.length, total: rows.length });
    let at = 0;
    for (const row of rows) {
      const found = text.indexOf(` ${row.name} `, at);
      expect(found, row.name).toBeGreaterThan(-1);
      at = found;
    }
    const pages = Number(/Pages:\s+(\d+)/.exec(info)![1]);
    for (let page = 1; page <= pages; page++) expect(text).toContain(`Page ${page} of ${pages}`);
    expect(text.match(/SHA-256 [0-9a-f]{64}/g)?.length).toBe(pages);
    expect(text.match(/No field test predicts/g)?.length).toBe(pages);
    expect(text).toMatch(
      new RegExp(`${rows.length} segments, as of 2026-06-30, the fastest growth first. Revision \\d+`),
    );
  });

  // Sizes: ISO 216 (A4, 210 × 297 mm) and ANSI/ASME Y14.1 (Letter, 8.5 × 11 in), laid across, in points of 1/72 in.
  test('lies across the paper that is asked for', async () => {
    expect((await printed({ first: 3 })).info).toMatch(/Page size:\s+841\.89 x 595\.28 pts/);
    expect((await printed({ first: 3, paper: 'Letter' })).info).toMatch(/Page size:\s+792 x 612 pts/);
  });

  test('is the view: its filter in words, its order, its columns, and says where it stops', async () => {
    const filter = { insulation: ['PILC' as const] };
    const { rows, total } = await t.ask('ranking.page', { count: 4, order: 'level', filter });
    const { text, answer } = await printed({ first: 4, order: 'level', filter, without: ['tests', 'moved'] });
    expect(answer).toEqual({ printed: 4, total });
    expect(text).toContain(
      `The first 4 of ${total} segments (insulation PILC), as of 2026-06-30, the highest level first.`,
    );
    expect(text.replaceAll(/\s+/g, ' ')).toContain(
      `The other ${total - 4} are not printed: narrow the filter and print again, or write the whole ranking as a table with the command rank and its option --csv.`,
    );
    // 'Dyers Lane 1' is not the beginning of 'Dyers Lane 14'.
    const order = rows.map((row) => text.search(new RegExp(`${row.name}(?![\\d])(?! \\d)`)));
    expect(Math.min(...order)).toBeGreaterThan(-1);
    expect(order).toEqual([...order].sort((a, b) => a - b));
    expect(text).not.toMatch(/Tests|Last year/);
    expect(text).toMatch(/Crosses the limit/);
  });

  test('made twice is the same, byte for byte', async () => {
    expect((await printed({ first: 5 })).bytes.equals((await printed({ first: 5 })).bytes)).toBe(true);
  });
});
