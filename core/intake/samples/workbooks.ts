import { zipSync } from 'fflate';
import { unpackZip } from './archives.ts';

export interface Sheet {
  readonly name: string;
  readonly rows: readonly (readonly string[])[];
}

/** The sheets of an XLSX workbook as text cells; dates as ISO 8601, times of day as hh:mm:ss. */
export const sheetsOf = async (bytes: Uint8Array): Promise<readonly Sheet[] | { readonly because: string }> => {
  // Unpacked here, under bounds, and handed on as a plain archive: a bomb is met before the reader sees it, and damage
  // on which its own unpacking would wait for ever is refused instead.
  const unpacked = unpackZip(bytes);
  if ('because' in unpacked) return { because: unpacked.because.replace('ZIP', 'workbook') };
  const plain = zipSync(Object.fromEntries(unpacked.files.map((file) => [file.name, file.bytes])), { level: 0 });
  try {
    // Loaded with the first workbook: most starts of the program never meet one.
    const { default: readWorkbook } = await import('read-excel-file/universal');
    const sheets = await readWorkbook(plain.buffer);
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
