/** What a font of pdfkit makes of a word: the glyphs and how far apart they stand. */
interface Shaped {
  readonly glyphs: readonly unknown[];
  readonly positions: readonly unknown[];
  readonly advanceWidth: number;
}

interface PdfFont {
  readonly name: string;
  layoutRun(text: string, features?: readonly string[]): Shaped;
}

/** The class of pdfmake that hands a paper its fonts. */
export interface PdfPaper {
  readonly prototype: { provideFont(family: string, bold: boolean, italics: boolean): PdfFont };
}

/** Words that are remembered of all fonts together; a long list of names begins anew. */
const mostWords = 40_000;

/**
 * Gives the fonts a memory of shaped words that lasts from one paper to the next. Pdfkit forgets each word at once where
 * font features are asked for, as our lining figures and kerning are, and shapes it to measure it and again to write it:
 * more than half of the time a paper takes. A word of a font is shaped alike wherever it stands.
 */
export function rememberShapes(paper: PdfPaper): void {
  const shaped = new Map<string, Shaped>();
  const known = new WeakSet<PdfFont>();
  const provideFont = paper.prototype.provideFont;
  paper.prototype.provideFont = function (family, bold, italics) {
    const font = provideFont.call(this, family, bold, italics);
    if (!known.has(font)) {
      known.add(font);
      const shape = font.layoutRun.bind(font);
      font.layoutRun = (text, features) => {
        const key = `${font.name} ${features?.join() ?? ''} ${text}`;
        let run = shaped.get(key);
        if (!run) {
          run = shape(text, features);
          if (shaped.size >= mostWords) shaped.clear();
          shaped.set(key, run);
        }
        return run;
      };
    }
    return font;
  };
}
