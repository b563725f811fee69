import {
  fahrenheitToC,
  inchesToMm,
  lengthToKm,
  milsToMm,
  type ResistanceUnit,
  resistanceToMohm,
} from '../../trade/units.ts';

/** Units that owners write, as words of a header or after a number. Case tells mA from MA; insulation is never milliohms. */
const spelled: readonly (readonly [string, RegExp])[] = [
  ['kft', /^(?:kft|kilofeet|1000 ?ft|thousand feet)$/i],
  ['ft', /^(?:ft|feet|foot|')$/i],
  ['km', /^(?:km|kilomet(?:er|re)s?|kilometer)$/i],
  ['m', /^(?:m|met(?:er|re)s?|meter)$/i],
  ['mi', /^(?:mi|miles?)$/i],
  ['mm', /^(?:mm|millimet(?:er|re)s?)$/i],
  ['mil', /^mils?$/i],
  ['in', /^(?:in|inch|inches|")$/i],
  ['mm2', /^(?:mm2|mm²|sq\.? ?mm|qmm)$/i],
  ['kcmil', /^(?:kcmil|mcm)$/i],
  ['AWG', /^awg$/i],
  ['kV', /^kv(?:dc| ?dc)?$/i],
  ['V', /^(?:v|volts?|vdc)$/i],
  ['nA', /^(?:na|nanoamp(?:s|eres?)?)$/i],
  ['uA', /^(?:[uµμ]a|microamp(?:s|eres?)?|mca)$/i],
  ['mA', /^(?:m[aA]|milliamp(?:s|eres?)?)$/],
  ['kOhm', /^(?:k ?(?:ohms?|Ω|Ω)|kilohms?)$/i],
  ['MOhm', /^(?:m ?(?:ohms?|Ω|Ω)|meg(?:a? ?ohms?|s)?)$/i],
  ['GOhm', /^(?:g ?(?:ohms?|Ω|Ω)|gig(?:a? ?ohms?|s)?)$/i],
  ['TOhm', /^(?:t ?(?:ohms?|Ω|Ω)|teraohms?)$/i],
  ['s', /^(?:s|sec|secs|seconds?|sek)$/i],
  ['min', /^(?:min|mins|minutes?|minuten)$/i],
  ['h', /^(?:h|hr|hrs|hours?|stunden)$/i],
  ['F', /^(?:° ?f|deg\.? ?f|degf|fahrenheit|f)$/i],
  ['C', /^(?:° ?c|deg\.? ?c|degc|celsius|c)$/i],
  ['%', /^(?:%|pct|percent)$/i],
];

export const unitOfWord = (word: string, allowed: readonly string[]): string | null => {
  const bare = word
    .normalize('NFC')
    .replace(/^[([{]+|[)\]}.]+$/g, '')
    .trim();
  for (const [unit, pattern] of spelled) if (allowed.includes(unit) && pattern.test(bare)) return unit;
  return null;
};

/** Words of a header: 'LengthFt', 'leakage_uA' and 'Leakage (µA)' alike. */
export const wordsOf = (name: string): string[] =>
  name
    .replace(/([a-z])([A-Z][a-z])/g, '$1 $2')
    .replace(/[_/|:;,–-]+/g, ' ')
    .replace(/[([{]/g, ' ')
    .replace(/[)\]}]/g, ' ')
    .split(/\s+/)
    .filter((word) => word !== '');

/** The unit a header says: in brackets first, else any of its words from the last to the first. */
export function unitInName(name: string, allowed: readonly string[]): string | null {
  const bracketed = [...name.matchAll(/[([{]\s*([^)\]}]+?)\s*[)\]}]/g)].map((match) => match[1]!);
  const words = wordsOf(name);
  const pairs = words.slice(1).map((word, i) => `${words[i]} ${word}`);
  // A single letter outside brackets is a phase or a name far more often than a unit.
  for (const word of [...bracketed, ...pairs.reverse(), ...words.filter((each) => each.length > 1).reverse()]) {
    const unit = unitOfWord(word, allowed);
    if (unit !== null) return unit;
  }
  return null;
}

/** A value in the unit that the fleet folder has: metres, millimetres, kilovolts, minutes, °C. */
export function converted(value: number, unit: string | null): number {
  switch (unit) {
    case 'F':
      return tidy(fahrenheitToC(value));
    case 'V':
      return value / 1000;
    case 's':
      return value / 60;
    case 'h':
      return value * 60;
    case 'in':
      return tidy(inchesToMm(value));
    case 'mil':
      return tidy(milsToMm(value));
    case 'km':
    case 'ft':
    case 'kft':
    case 'mi':
      return tidy(lengthToKm(value, unit) * 1000);
    default:
      return value;
  }
}

/** Without the tail that binary fractions grow. */
const tidy = (value: number): number => Number(value.toPrecision(12));

/** Ohm's law: µA at this voltage through a resistance in the unit given, to seven digits. */
export const leakageUaOf = (kv: number, resistance: number, unit: string): number =>
  Number(((1000 * kv) / resistanceToMohm(resistance, unit as ResistanceUnit)).toPrecision(7));
