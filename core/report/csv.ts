const needsQuotes = /[",\r\n]|^\s|\s$/;
// A spreadsheet takes a cell that begins like this for a formula; a leading apostrophe makes it text.
const looksLikeFormula = /^[=+\-@\t\r]/;
const plainNumber = /^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?$/;

/** One cell of a report's CSV (RFC 4180), inert in a spreadsheet. */
export function csvCell(text: string): string {
  const inert = looksLikeFormula.test(text) && !plainNumber.test(text) ? `'${text}` : text;
  return needsQuotes.test(inert) ? `"${inert.replaceAll('"', '""')}"` : inert;
}

/** Rows of cells as CSV with LF line ends. For people and spreadsheets; the fleet folder keeps text to the letter. */
export const csvText = (rows: readonly (readonly string[])[]): string =>
  rows.map((row) => `${row.map(csvCell).join(',')}\n`).join('');
