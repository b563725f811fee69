/** A sentence as data: plain words, words that carry weight, and raised numerals that lead to a margin note. */
export type Piece = string | { readonly strong: string } | { readonly note: number };
export type Sentence = readonly Piece[];

export const strong = (text: string): Piece => ({ strong: text });
export const note = (number: number): Piece => ({ note: number });

/** The sentence without its numerals, for titles, copies and screen readers. */
export const plain = (sentence: Sentence): string =>
  sentence.map((piece) => (typeof piece === 'string' ? piece : 'strong' in piece ? piece.strong : '')).join('');
