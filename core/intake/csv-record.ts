/** Cells of one record that holds quotation marks (RFC 4180), or a sentence on what is wrong with it. */
export function splitRecord(text: string): string[] | string {
  const cells: string[] = [];
  let at = 0;
  for (;;) {
    if (text.charCodeAt(at) === 34) {
      let cell = '';
      let from = at + 1;
      for (;;) {
        const stop = text.indexOf('"', from);
        if (stop < 0) return 'A quotation mark is never closed. Close it, or double it.';
        if (text.charCodeAt(stop + 1) !== 34) {
          cell += text.slice(from, stop);
          at = stop + 1;
          break;
        }
        cell += text.slice(from, stop + 1);
        from = stop + 2;
      }
      cells.push(cell);
      if (at === text.length) return cells;
      if (text.charCodeAt(at) !== 44)
        return 'Text follows a closing quotation mark. Put the whole value in quotes and double the marks inside.';
    } else {
      const comma = text.indexOf(',', at);
      const stop = comma < 0 ? text.length : comma;
      const cell = text.slice(at, stop);
      if (cell.includes('"'))
        return 'A quotation mark stands inside an unquoted value. Put the whole value in quotes and double the mark.';
      cells.push(cell);
      if (comma < 0) return cells;
      at = stop;
    }
    at++;
  }
}

/** A cell as it is written: in quotes where RFC 4180 asks for them. */
export const csvCell = (text: string): string => (/[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text);

/*
 * A spreadsheet runs text that begins with = + - @ or a tab as a formula. On export such text gets an apostrophe in
 * front, on import one apostrophe in front of such text is taken away: what is stored comes back exactly, and a name
 * that is a formula is inert in between.
 */
const needsMark = /^'*[=+\-@\t\r]/;
const hasMark = /^'+[=+\-@\t\r]/;
export const inertText = (text: string): string => (needsMark.test(text) ? `'${text}` : text);
export const plainText = (cell: string): string => (hasMark.test(cell) ? cell.slice(1) : cell);
