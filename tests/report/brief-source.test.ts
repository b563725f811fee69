import { expect, test } from 'vitest';
import { shortSource } from '../../core/report/brief-look.ts';
import { type Mark, sourceWords } from '../../core/trade/source.ts';

/** Every mark once, with what a line of the sheet says of it. */
const said: Readonly<Record<Mark, string>> = {
  read: 'IEEE 400.2',
  quoted: 'IEEE 400.2 (as quoted elsewhere)',
  'from memory, unverified': 'IEEE 400.2 (from memory, unverified)',
  computed: 'IEEE 400.2 (computed here)',
  'common practice, no source': 'IEEE 400.2 (common practice, no source)',
};

test.each(Object.entries(said) as [Mark, string][])('the sheet keeps of a source how it was had: %s', (mark, short) => {
  const source = { document: 'IEEE 400.2', edition: '2013', table: 'table 3, acceptance', mark };
  expect(shortSource(sourceWords(source))).toBe(short);
  expect(shortSource(sourceWords({ ...source, edition: '', table: '' }))).toBe(short);
});
