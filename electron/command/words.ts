/** Unit endings of field names, longest first, as they are read. */
const units: readonly (readonly [string, string])[] = [
  ['NsPerKmAt20C', 'nS/km at 20 °C'],
  ['PctPerYr', '%/yr'],
  ['NsPerKm', 'nS/km'],
  ['KvPerS', 'kV/s'],
  ['Mohm', 'MΩ'],
  ['Pct', '%'],
  ['Kva', 'kVA'],
  ['Mm2', 'mm²'],
  ['Min', 'min'],
  ['Km', 'km'],
  ['Kv', 'kV'],
  ['Ua', 'µA'],
  ['Nf', 'nF'],
  ['Mm', 'mm'],
  ['Sd', 'SD'],
  ['M', 'm'],
  ['S', 's'],
  ['C', '°C'],
];

export interface Label {
  readonly words: string;
  readonly unit: string;
}

/** A field's name for people: `growthPctPerYr` is 'growth' in '%/yr'. */
export function labelOf(field: string): Label {
  if (field.includes('_')) return { words: field, unit: '' };
  const found = units.find(([ending]) => field.length > ending.length && field.endsWith(ending));
  const name = found ? field.slice(0, -found[0].length) : field;
  const words = name
    .replace(/([a-z0-9])([A-Z])/g, '$1 $2')
    .replace(/([a-z])(\d)/g, '$1 $2')
    .toLowerCase();
  return { words, unit: found?.[1] ?? '' };
}

export const headingOf = (field: string): string => {
  const { words, unit } = labelOf(field);
  return unit ? `${words} ${unit}` : words;
};

/** Fields that name what a row is about: they need no heading beside them. */
export const isName = (field: string): boolean => ['name', 'segment', 'kind', 'subject', 'file'].includes(field);

/** A number to four significant digits; whole numbers as they are, years without separators; with a true minus sign. */
export const numberWords = (value: number, field = ''): string => digitsOf(value, field).replace('-', '−');

function digitsOf(value: number, field: string): string {
  if (!Number.isFinite(value)) return '–';
  // An estimated chance is never certain: 1 and 0 are what rounding left.
  if (/^p[A-Z]/.test(field) && (value > 0.9995 || value < 0.0005)) return value > 0.5 ? '>0.999' : '<0.001';
  if (Number.isInteger(value))
    return /year|seed|revision/i.test(field) || Math.abs(value) < 10_000 ? String(value) : value.toLocaleString('en');
  if (/year/i.test(field)) return value.toFixed(1);
  const rounded = Number(value.toPrecision(4));
  return Math.abs(rounded) < 10_000 ? String(rounded) : rounded.toLocaleString('en');
}

type Fields = Readonly<Record<string, unknown>>;

const isFields = (value: unknown): value is Fields =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

/** A word of the records as people write it: 'splice_renewal' is 'splice renewal'. */
const textWords = (text: string): string => (/^[a-z]+(_[a-z]+)+$/.test(text) ? text.replaceAll('_', ' ') : text);

/** Any value in one line. */
export function inLine(value: unknown, field = ''): string {
  if (value === null || value === undefined) return '–';
  if (typeof value === 'number') return numberWords(value, field);
  if (typeof value === 'boolean') return value ? 'yes' : 'no';
  if (Array.isArray(value)) return value.map((each) => inLine(each, field)).join(', ');
  if (!isFields(value)) return textWords(String(value));
  if (value.known === true && 'amount' in value && Object.keys(value).length === 2) return inLine(value.amount, field);
  if ('mean' in value && 'lo' in value && 'hi' in value)
    return `${inLine(value.mean)} (${inLine(value.lo)} … ${inLine(value.hi)})`;
  if (value.known === false && typeof value.because === 'string') return value.because;
  if ('lo' in value && 'hi' in value && Object.keys(value).length === 2)
    return `${inLine(value.lo)} to ${inLine(value.hi)}`;
  if ('value' in value && 'lo' in value && 'hi' in value)
    return `${inLine(value.value)} (${inLine(value.lo)} … ${inLine(value.hi)})`;
  if (typeof value.name === 'string' && typeof value.id === 'string')
    return typeof value.ownerId === 'string' ? `${value.name} (${value.ownerId})` : value.name;
  return Object.entries(value)
    .filter(([key]) => key !== 'known')
    .map(([key, each]) => `${headingOf(key)} ${inLine(each, key)}`)
    .join(', ');
}
