/** No-break space: a number never parts from its unit at the end of a line. */
export const nb = '\u00a0';

const grouping = new Map<number, Intl.NumberFormat>();

/** A number with this many decimals, thousands grouped by commas, and a true minus sign. */
export function fixed(value: number, decimals: number): string {
  let format = grouping.get(decimals);
  if (!format) {
    format = new Intl.NumberFormat('en-US', { minimumFractionDigits: decimals, maximumFractionDigits: decimals });
    grouping.set(decimals, format);
  }
  const text = format.format(value);
  return (Number(value.toFixed(decimals)) === 0 ? text.replace('-', '') : text).replace('-', '\u2212');
}

export const whole = (value: number): string => fixed(value, 0);

/** A measured quantity at the three figures that field readings carry, two below one: 0.042, 0.58, 4.31, 19.4, 212. */
export function measured(value: number): string {
  const size = Math.abs(value);
  if (size === 0) return '0';
  if (size >= 99.95) return fixed(value, 0);
  if (size >= 9.995) return fixed(value, 1);
  if (size >= 0.9995) return fixed(value, 2);
  return fixed(value, Math.min(6, 1 - Math.floor(Math.log10(size))));
}

/** A quantity as it was set by hand: 7.4 stays 7.4, 20 stays 20. */
export const asSet = (value: number): string => String(Number(value.toPrecision(6))).replace('-', '\u2212');

/** '11.8 %' from 11.8. */
export const percent = (value: number, decimals = 1): string => `${fixed(value, decimals)}${nb}%`;

/** A probability in words that claim no more than they know: 'under 1 %', '62 %', 'over 99 %'. */
export function chance(p: number): string {
  const pct = p * 100;
  if (pct < 1) return `under 1${nb}%`;
  if (pct > 99) return `over 99${nb}%`;
  return percent(pct, 0);
}

/** The same for a narrow column: '<1 %', '62 %', '>99 %'. */
export function chanceShort(p: number): string {
  const pct = p * 100;
  if (pct < 1) return `<1${nb}%`;
  if (pct > 99) return `>99${nb}%`;
  return percent(pct, 0);
}

/** '1 test', '4 tests'. */
export const count = (n: number, one: string, many = `${one}s`): string => `${whole(n)} ${n === 1 ? one : many}`;

/** 'A', 'A and B', 'A, B and C'. */
export function list(items: readonly string[]): string {
  if (items.length < 2) return items[0] ?? '';
  return `${items.slice(0, -1).join(', ')} and ${items[items.length - 1]}`;
}

/** Bytes as a person reads them. */
export function bytes(n: number): string {
  if (n < 1000) return `${n} bytes`;
  if (n < 1e6) return `${fixed(n / 1e3, 0)}${nb}kB`;
  if (n < 1e9) return `${fixed(n / 1e6, 1)}${nb}MB`;
  return `${fixed(n / 1e9, 2)}${nb}GB`;
}

export const firstUpper = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

/** A sentence with its large whole numbers grouped: '297800 µA' is '297,800 µA'; ids, days and decimals stay. */
export const grouped = (sentence: string): string =>
  sentence.replace(/(?<![\w.,/-])\d{5,}(?![\w/-]|\.\d)/g, (digits) => whole(Number(digits)));
