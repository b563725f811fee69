import readWorkbook from 'read-excel-file/node';
import { unpackZip } from './archives.ts';

export interface Sheet {
  readonly name: string;
  readonly rows: readonly (readonly string[])[];
}

/** The sheets of an XLSX workbook as text cells; dates as ISO 8601, times of day as hh:mm:ss. */
export const sheetsOf = async (bytes: Uint8Array): Promise<readonly Sheet[] | { readonly because: string }> => {
  // Unpacked once under bounds, so that a bomb is met here and not inside the reader.
  const unpacked = unpackZip(bytes);
  if ('because' in unpacked) return { because: unpacked.because.replace('ZIP', 'workbook') };
  try {
    const sheets = await readWorkbook(Buffer.from(bytes));
    return sheets.map(({ sheet, data }) => ({ name: sheet, rows: data.map((row) => row.map(cellText)) }));
  } catch {
    return { because: 'the workbook is damaged or cut short' };
  }
};

const cellText = (cell: unknown): string => {
  if (cell === null || cell === undefined) return '';
  if (cell instanceof Date) {
    if (Number.isNaN(cell.getTime())) return '';
    const iso = cell.toISOString();
    return cell.getUTCFullYear() < 1910 ? iso.slice(11, 23) : iso.slice(0, 23).replace('T', ' ');
  }
  return String(cell).trim();
};
