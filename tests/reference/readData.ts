import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect } from 'vitest';

const text = (file: string): string => readFileSync(join(import.meta.dirname, 'data', file), 'utf8');

/** A JSON fixture; its shape is what the caller says it is. */
export const readJson = <Shape>(file: string): Shape => JSON.parse(text(file)) as Shape;

/** The rows of a small CSV fixture with a heading and no commas inside fields. */
export function readCsv(file: string): Record<string, string>[] {
  const [heading, ...lines] = text(file).trim().replaceAll('"', '').split(/\r?\n/);
  const names = heading!.split(',');
  return lines.map((line) => Object.fromEntries(line.split(',').map((field, i) => [names[i]!, field])));
}

/** Agreement to so many significant digits: half a unit of the last. */
export function expectDigits(actual: number, expected: number, digits: number): void {
  const slack = 0.5 * 10 ** (1 - digits) * 10 ** Math.floor(Math.log10(Math.abs(expected)));
  expect(Math.abs(actual - expected), `${actual} against ${expected}, to ${digits} digits`).toBeLessThanOrEqual(slack);
}
