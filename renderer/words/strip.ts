import type { YearStrip } from '../../core/contract/shapes/strip.ts';
import { list } from './numbers.ts';

const steps = [
  'under 10 % of the limit',
  '10 to 25 % of the limit',
  '25 to 50 % of the limit',
  '50 to 75 % of the limit',
  '75 to 100 % of the limit',
  'above the limit',
] as const;

export const levelWords = (level: number): string => steps[level] ?? 'level unknown';

/** The year strip, told to someone who cannot see it. */
export function stripWords(strip: YearStrip): string {
  const at = (year: number): number => strip.levels[year - strip.from] ?? -1;
  const parts = [`Years ${strip.from} to ${strip.to}`];
  parts.push(strip.tested.length === 0 ? 'never tested' : `tested in ${list(strip.tested.map(String))}`);
  parts.push(`now ${levelWords(at(strip.now))}`);
  const end = at(strip.to);
  if (strip.to > strip.now && end >= 0) parts.push(`forecast for ${strip.to} ${levelWords(end)}`);
  if (strip.notches.length > 0) parts.push(`work done in ${list(strip.notches.map(String))}`);
  if (strip.crosses.length > 0) parts.push(`failed in ${list(strip.crosses.map(String))}`);
  return `${parts.join('; ')}.`;
}

/** What one year of the strip says, for the line that follows the pointer. */
export function yearWords(strip: YearStrip, year: number): string {
  const level = strip.levels[year - strip.from] ?? -1;
  const kind = year > strip.now ? 'forecast' : strip.tested.includes(year) ? 'tested' : 'between tests';
  const extra = [
    ...(strip.notches.includes(year) ? ['work done'] : []),
    ...(strip.crosses.includes(year) ? ['failed'] : []),
  ];
  return `${year}: ${[kind, levelWords(level), ...extra].join(', ')}`;
}

/** What the signs of a year strip mean. */
export const stripLegend =
  'Tall: tested. Thin: between tests. Hatched: forecast. Notch: work done. Cross: failure. Stronger: nearer the limit.';
