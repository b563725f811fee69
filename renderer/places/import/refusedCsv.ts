import type { RefusedRow } from '../../../core/contract/asks/fleet.ts';

/** Refused rows as CSV (RFC 4180). */
export function refusedCsv(rows: readonly RefusedRow[]): string {
  const cell = (text: string): string => (/[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text);
  const lines = rows.map((row) => [row.file, String(row.line), row.column, row.value, row.message]);
  return [['file', 'line', 'column', 'value', 'message'], ...lines]
    .map((line) => `${line.map(cell).join(',')}\r\n`)
    .join('');
}
