import type { ColumnRole } from './shapes.ts';

export interface UnitFound {
  readonly role: ColumnRole;
  readonly unit: string;
}

/** Power of ten from a unit to what this program keeps: kV, µA, MΩ. Times go through `secondsPer`. */
export const powerOf: Readonly<Record<string, number>> = {
  V: -3,
  kV: 0,
  nA: -3,
  uA: 0,
  mA: 3,
  A: 6,
  Ohm: -6,
  kOhm: -3,
  MOhm: 0,
  GOhm: 3,
  TOhm: 6,
};

export const secondsPer: Readonly<Record<string, number>> = { s: 1, ms: 0.001, min: 60, h: 3600, d: 86_400 };

/** Spelled as testers spell them, after NFKC, which makes one of the two micro signs and one of the two ohm signs. Case tells milli from mega only where both make sense. */
const exact: readonly (readonly [RegExp, ColumnRole, string])[] = [
  [/^(?:kv|kvdc|kilovolts?|kv ?dc)$/i, 'voltage', 'kV'],
  [/^(?:v|vdc|volts?|v ?dc)$/i, 'voltage', 'V'],
  [/^(?:n|nano)[ -]?a(?:mps?|mperes?)?$/i, 'current', 'nA'],
  [/^(?:[uμ]|micro|mc)[ -]?a(?:mps?|mperes?)?$/i, 'current', 'uA'],
  [/^m[ -]?[aA](?:mps?|mperes?)?$/, 'current', 'mA'],
  [/^milli[ -]?a(?:mps?|mperes?)?$/i, 'current', 'mA'],
  [/^(?:a|amps?|amperes?|ampere)$/i, 'current', 'A'],
  // Insulation is never milliohms: 'mohm' can only be a careless megohm.
  [/^(?:m|mega?|meg)[ -]?(?:Ω|ohms?)$/i, 'resistance', 'MOhm'],
  [/^(?:g|giga?)[ -]?(?:Ω|ohms?)$/i, 'resistance', 'GOhm'],
  [/^(?:t|tera?)[ -]?(?:Ω|ohms?)$/i, 'resistance', 'TOhm'],
  [/^(?:k|kilo)[ -]?(?:Ω|ohms?)$/i, 'resistance', 'kOhm'],
  [/^(?:Ω|ohms?)$/i, 'resistance', 'Ohm'],
  [/^(?:s|sec|secs|second|seconds|sek|seg)\.?$/i, 'time', 's'],
  [/^(?:ms|msec|millisec(?:ond)?s?)\.?$/i, 'time', 'ms'],
  [/^(?:min|mins|minutes?|minuten)\.?$/i, 'time', 'min'],
  [/^(?:h|hr|hrs|hours?)\.?$/i, 'time', 'h'],
  [/^(?:d|days?)$/i, 'time', 'd'],
  [/^(?:h{1,2}:mm:ss|h{1,2}:m{1,2}:s{1,2}(?:[.,](?:0+|f+|s+|ms|z+))?|m{1,2}:s{1,2}(?:[.,]\w+)?)$/i, 'time', 'clock'],
];

/** The unit a word is; null for any other word. */
export const unitOf = (word: string): UnitFound | null => {
  const bare = word
    .normalize('NFKC')
    .trim()
    .replace(/^[([{/,;:]+|[)\]},;:]+$/g, '')
    .trim();
  for (const [pattern, role, unit] of exact) if (pattern.test(bare)) return { role, unit };
  return null;
};

/** The unit inside a header cell: in brackets, after a slash, comma or underscore, or as the last word. */
export const unitInHeader = (written: string): UnitFound | null => {
  const header = written.normalize('NFKC');
  const bracketed = /[([{]\s*([^)\]}]{1,14})\s*[)\]}]/.exec(header);
  if (bracketed) {
    const found = unitOf(bracketed[1]!);
    if (found) return found;
  }
  const tail = /(?:[/,_:\s-]|\bin\s+)\s*([^\s/,_:]{1,10}(?: ?DC)?)\s*$/i.exec(header);
  if (tail) {
    const found = unitOf(tail[1]!);
    // A lone letter after a word may be a phase or a name: 'Current A' is no unit of amperes.
    if (found && (tail[1]!.length > 1 || /[/([_,]\s*\S$/.test(header))) return found;
  }
  return null;
};

const nameRoles: readonly (readonly [RegExp, ColumnRole])[] = [
  [/^(?:date|datum|fecha|day)$/i, 'date'],
  [/(?:elapsed|\btime\b|zeit|\btemps\b|tiempo|tempo|timestamp|date[ _-]?time|\bclock\b|seconds|\bt\b)/i, 'time'],
  [/(?:volt|spannung|tensi[oó]n|\bhv\b|\bkv\b|\bu\b|\bv(?:dc)?\b|\bu_?(?:dc|test|out)\b)/i, 'voltage'],
  [/(?:resist|widerstand|\bohm|r[ée]sistance|\bir\b|\br(?:iso)?\b|Ω)/i, 'resistance'],
  [/(?:current|leak|strom|courant|corriente|\bi(?:leak|dc|_leak)?\b|amp[eè]re|[uμn]a\b)/i, 'current'],
];

/** The role a header names; null where it names none. */
export const roleOfName = (name: string): ColumnRole | null => {
  const words = name.normalize('NFKC').replaceAll('_', ' ').trim();
  if (
    /temp(?:erature)?\b|humid|ambient|°|limit|set ?point|\bset\b|target|setting/i.test(words) &&
    !/elapsed/i.test(words)
  )
    return 'other';
  for (const [pattern, role] of nameRoles) if (pattern.test(words)) return role;
  return null;
};
