import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { makePdf, ruledTable } from '../../core/report/pdf.ts';

const head = 'a3'.repeat(32);
const options = {
  createdAt: '2026-01-02T03:04:05.000Z',
  title: 'Record of tests',
  footer: { ledgerHead: head, ledgerSeq: 12, caution: 'High voltage kills.' },
};
const definition = {
  content: [
    { text: 'A year of tests', style: 'title' },
    {
      layout: ruledTable,
      table: {
        headerRows: 1,
        widths: ['*', 'auto'],
        body: [['Segment', 'µA'], ...Array.from({ length: 60 }, (_, i) => [`Ω ≥ ${i}`, '1.20'])],
      },
    },
  ],
};

/** poppler's pdftotext and pdfinfo read the PDF independently of what made it. */
function poppler(tool: 'pdftotext' | 'pdfinfo', bytes: Uint8Array): string {
  const folder = mkdtempSync(join(tmpdir(), 'pdf-'));
  const file = join(folder, 'a.pdf');
  writeFileSync(file, bytes);
  try {
    return execFileSync(tool, tool === 'pdftotext' ? ['-layout', file, '-'] : [file], { encoding: 'utf8' });
  } finally {
    rmSync(folder, { recursive: true });
  }
}
const hasPoppler = (() => {
  try {
    execFileSync('pdfinfo', ['-v'], { stdio: 'ignore' });
    return true;
  } catch {
    console.log('skipped: poppler (pdfinfo, pdftotext) is not installed');
    return false;
  }
})();

describe('a PDF', () => {
  test('made twice is the same, byte for byte', async () => {
    const [first, second] = [await makePdf(definition, options), await makePdf(definition, options)];
    expect(Buffer.compare(first, second)).toBe(0);
  });

  test('differs when its date does', async () => {
    const other = await makePdf(definition, { ...options, createdAt: '2026-01-02T03:04:06.000Z' });
    expect(Buffer.compare(await makePdf(definition, options), other)).not.toBe(0);
  });

  test.skipIf(!hasPoppler)('carries the ledger head, the caution and its number on every page', async () => {
    const text = poppler('pdftotext', await makePdf(definition, options));
    const pages = text.split('\f').slice(0, -1);
    expect(pages.length).toBeGreaterThan(1);
    for (const [i, page] of pages.entries()) {
      expect(page).toContain(head);
      expect(page).toContain('High voltage kills.');
      expect(page).toContain(`Page ${i + 1} of ${pages.length}`);
    }
    expect(pages[0]?.replaceAll(' ', '')).toContain('Ω≥01.20');
  });

  test.skipIf(!hasPoppler)('is tagged PDF 1.7 with a title', async () => {
    const info = poppler('pdfinfo', await makePdf(definition, options));
    expect(info).toMatch(/Tagged:\s+yes/);
    expect(info).toMatch(/PDF version:\s+1\.7/);
    expect(info).toMatch(/Title:\s+Record of tests/);
  });

  test('neither reads a file of the disk nor fetches an address', async () => {
    await expect(makePdf({ content: [{ image: '/etc/hostname' }] }, options)).rejects.toThrow();
    await expect(makePdf({ content: [{ image: 'http://127.0.0.1:9/a.png' }] }, options)).rejects.toThrow();
  });

  test('needs a moment, not words', async () => {
    await expect(makePdf(definition, { ...options, createdAt: 'yesterday' })).rejects.toThrow(RangeError);
  });
});
