import { execFileSync } from 'node:child_process';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { makePdf } from '../../core/report/pdf.ts';
import { rememberShapes } from '../../core/report/pdf-shaping.ts';

const options = {
  createdAt: '2026-01-02T03:04:05.000Z',
  title: 'Words',
  footer: { ledgerHead: null, ledgerSeq: null, caution: '' },
};
const paper = (words: string) => ({
  content: [
    { text: words, style: 'title' },
    { text: `AVATAR ${words}`, bold: true },
  ],
});

/** The same paper, made first of all in a process of its own. */
function madeAlone(words: string): string {
  const script = `
    import { makePdf } from ${JSON.stringify(join(import.meta.dirname, '../../core/report/pdf.ts'))};
    const bytes = await makePdf(${JSON.stringify(paper(words))}, ${JSON.stringify(options)});
    process.stdout.write(Buffer.from(bytes).toString('base64'));`;
  return execFileSync(process.execPath, ['--input-type=module', '-e', script], { encoding: 'utf8' });
}

describe('words that are remembered as they were shaped', () => {
  test('a paper made after others is the one that would have been made first', async () => {
    const words = 'AV To fi 0.042 µA at 20 °C, 5–15 min';
    for (const before of ['AV', `${words} and more`, 'fi 0.042']) await makePdf(paper(before), options);
    const after = Buffer.from(await makePdf(paper(words), options)).toString('base64');
    expect(after).toBe(madeAlone(words));
  });

  test('are shaped once a font and set of features, whatever paper they stand on', () => {
    const shaped: string[] = [];
    class Paper {
      provideFont(family: string, bold: boolean, _italics: boolean) {
        const name = `${family}${bold ? ' bold' : ''}`;
        return {
          name,
          layoutRun(text: string, features: readonly string[] = []) {
            shaped.push(`${name} ${features.join()} ${text}`);
            return { glyphs: [text], positions: [], advanceWidth: text.length };
          },
        };
      }
    }
    rememberShapes(Paper);
    const [one, other] = [new Paper(), new Paper()];
    const run = one.provideFont('Sans', false, false).layoutRun('word', ['kern']);
    expect(other.provideFont('Sans', false, false).layoutRun('word', ['kern'])).toBe(run);
    other.provideFont('Sans', true, false).layoutRun('word', ['kern']);
    other.provideFont('Sans', false, false).layoutRun('word', ['tnum']);
    other.provideFont('Sans', false, false).layoutRun('word');
    expect(shaped).toEqual(['Sans kern word', 'Sans bold kern word', 'Sans tnum word', 'Sans  word']);
  });
});
