/**
 * Where a published value comes from, and how far it may be trusted. Every row of every table in this room has one,
 * so that a screen, a brief and a bag of evidence can show it beside the number.
 */

/**
 * - `read`: read in a public text of the named document.
 * - `quoted`: read in a text that quotes the document.
 * - `from memory, unverified`: an editable default, never to be shown as a standard's value.
 * - `computed`: derived here from stated inputs.
 * - `common practice, no source`: a habit of the field that no document we could read states.
 */
export type Mark = 'read' | 'quoted' | 'from memory, unverified' | 'computed' | 'common practice, no source';

export interface Source {
  readonly document: string;
  readonly edition: string;
  readonly table: string;
  readonly mark: Mark;
}

/** A value that could not be had, with the reason in words a person can act on. */
export interface Unknown {
  readonly known: false;
  readonly because: string;
}

export type Known<T> = { readonly known: true; readonly value: T };
export type Maybe<T> = Known<T> | Unknown;

export const known = <T>(value: T): Known<T> => ({ known: true, value });
export const unknown = (because: string): Unknown => ({ known: false, because });

const named = ({ document, edition, table }: Source): string =>
  `${document}${edition === '' ? '' : ` (${edition})`}${table === '' ? '' : `, ${table}`}`;

const markWords: Readonly<Record<Mark, string>> = {
  read: '',
  quoted: ', as quoted elsewhere',
  'from memory, unverified': ', from memory, unverified',
  computed: ', computed here',
  'common practice, no source': ', common practice, no source',
};

/** A source in words, for a line of its own or within a sentence: 'IEEE 400 (2012), 5.1, as quoted elsewhere'. */
export const sourceWords = (source: Source): string => named(source) + markWords[source.mark];
