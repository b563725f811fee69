import { numberCell } from './cells.ts';
import type { NamedValue, SampleSubject } from './shapes.ts';
import { type CalendarDate, dateOf, isoDate, momentOf } from './times.ts';

/** `name: value`, `name = value`, or a row of two cells; comment marks in front are dropped. */
export const namedValue = (line: string, cells: readonly string[]): NamedValue | null => {
  const bare = line
    .trim()
    .replace(/^(?:#|%|\/\/|;|\*)+\s*/, '')
    .replace(/^"|"$/g, '');
  const parted = /^([\p{L}][^:=\t;,]{0,50}?)\s*(?::(?!\d\d\b)|=|\t)\s*(.*?)[\s;,]*$/u.exec(bare);
  if (parted?.[2]) return { name: parted[1]!.replace(/[\s.]+$/, ''), value: parted[2].replace(/^"|"$/g, '') };
  const filled = cells.filter((cell) => cell !== '');
  if ((filled.length === 2 || filled.length === 3) && /^\p{L}/u.test(filled[0]!) && filled[0]!.length <= 50)
    return { name: filled[0]!.replace(/\s*[:=]$/, ''), value: filled.slice(1).join(' ') };
  return null;
};

const says = {
  segment:
    /^(?:segment|cable(?: ?(?:id|name|no\.?|number|segment|section))?|circuit|feeder|section|asset(?: id)?|object|test object|equipment|d\.?u\.?t\.?|line|run|identification|label|kabel|strecke|objekt|pr[üu]fobjekt|location|site)$/i,
  phase: /^(?:phase|ph|conductor|core|leiter|ader|phase tested)$/i,
  date: /^(?:(?:test )?date(?: ?(?:and|&|\/)? ?time)?|tested(?: on)?|start(?:ed)?(?: (?:date|time|at))?|datum|test start|recorded|date of test|timestamp)$/i,
  serial: /(?:serial|\bs\/?n\b|instrument(?: id| no)?$|tester(?: id)?$|device(?: id)?$|unit id)/i,
  cableTemp: /^(?:(?:cable|insulation|conductor|sheath)[ _]?temp(?:erature)?\.?|temp(?:erature)?\.?|temperatur)\b/i,
  ambient: /^(?:ambient|air|outdoor|umgebung)/i,
  humidity: /(?:humidity|\brh\b|feuchte)/i,
  dwell: /(?:dwell|hold(?:ing)? time|test duration|^duration|planned time|pr[üu]fdauer)/i,
  target: /(?:(?:target|test|set|nominal|planned|withstand)[ _]?(?:voltage|kv)|pr[üu]fspannung|^setpoint)/i,
  result: /^(?:result|verdict|outcome|status|end reason|stop reason|remark|test result|ergebnis)$/i,
  crew: /^(?:crew|operator|tester name|tested by|technician|engineer|pr[üu]fer)$/i,
} as const;

/** What preamble, footer and file name say about the test. The preamble wins over the name. */
export const subjectOf = (
  named: readonly NamedValue[],
  fileName: string,
  dayOfSamples: number | null,
  decimal: '.' | ',',
): SampleSubject => {
  const first = (pattern: RegExp): string | null =>
    named.find(({ name }) => pattern.test(name.trim()))?.value.trim() || null;
  const stem = fileName.replace(/^.*[\\/]/, '').replace(/\.[a-z0-9]{1,5}$/i, '');
  const dateText = first(says.date);
  const date = (dateText === null ? null : dateOf(dateText)) ?? dateOf(stem);
  const temp = first(says.cableTemp);
  return {
    segmentText: first(says.segment) ?? segmentInName(stem),
    phase: phaseOf(first(says.phase)) ?? phaseInName(stem),
    testedOn:
      dayOfSamples !== null ? new Date(dayOfSamples * 86_400_000).toISOString().slice(0, 10) : unambiguous(date),
    testedOnText: dateText,
    instrumentSerial: first(says.serial),
    tempC: celsius(temp, named, decimal, says.cableTemp),
    ambientC: celsius(first(says.ambient), named, decimal, says.ambient),
    humidityPct: numberIn(first(says.humidity), decimal)?.value ?? null,
    plannedDwellS: seconds(first(says.dwell), decimal, named.find(({ name }) => says.dwell.test(name))?.name ?? ''),
    plannedKv: kilovolts(first(says.target), decimal, named.find(({ name }) => says.target.test(name))?.name ?? ''),
    resultText: first(says.result),
    crew: first(says.crew),
  };
};

const unambiguous = (date: CalendarDate | null): string | null =>
  date === null || date.ambiguous ? null : isoDate(date);

const numberIn = (text: string | null, decimal: '.' | ','): { value: number; unit: string } | null => {
  if (text === null) return null;
  const match = /[+-]?\d[\d.,]*/.exec(text);
  if (!match) return null;
  const number = match[0].replace(/[.,]+$/, '');
  const cell = numberCell(number, decimal) ?? numberCell(number, decimal === '.' ? ',' : '.');
  return cell ? { value: Number(cell.digits), unit: text.slice(match.index + match[0].length).trim() } : null;
};

const celsius = (
  text: string | null,
  named: readonly NamedValue[],
  decimal: '.' | ',',
  pattern: RegExp,
): number | null => {
  const found = numberIn(text, decimal);
  if (found === null) return null;
  const words = `${found.unit} ${named.find(({ name }) => pattern.test(name.trim()))?.name ?? ''}`;
  const tempC = /°\s*F|\bdeg\.? ?F\b|fahrenheit|^F\b|[([]F[)\]]/i.test(words) ? (found.value - 32) / 1.8 : found.value;
  return tempC > -60 && tempC < 130 ? Math.round(tempC * 100) / 100 : null;
};

const seconds = (text: string | null, decimal: '.' | ',', name: string): number | null => {
  if (text === null) return null;
  const clock = momentOf(text, true);
  if (clock && clock.day === null) return clock.secondOfDay;
  const found = numberIn(text, decimal);
  if (found === null) return null;
  const words = `${found.unit} ${name}`;
  if (/\bmin/i.test(words)) return found.value * 60;
  return /\b(?:s|sec\w*)\b/i.test(words) ? found.value : null;
};

const kilovolts = (text: string | null, decimal: '.' | ',', name: string): number | null => {
  const found = numberIn(text, decimal);
  if (found === null) return null;
  const words = `${found.unit} ${name}`;
  return /\bkv/i.test(words) ? found.value : /\bV\b/.test(words) ? found.value / 1000 : null;
};

const phases: Readonly<Record<string, 'A' | 'B' | 'C'>> = {
  a: 'A',
  b: 'B',
  c: 'C',
  l1: 'A',
  l2: 'B',
  l3: 'C',
  1: 'A',
  2: 'B',
  3: 'C',
  r: 'A',
  s: 'B',
  t: 'C',
  u: 'A',
  v: 'B',
  w: 'C',
};

/** 'B', 'phase B', 'L2', '2', 'S': the second phase. */
export const phaseOf = (text: string | null): 'A' | 'B' | 'C' | null => {
  if (text === null) return null;
  const bare = text
    .trim()
    .toLowerCase()
    .replace(/^(?:phase|ph\.?|conductor|core)[\s\-_.:]*/, '');
  return phases[bare] ?? null;
};

const phaseToken = /(?:^|[\s_\-.()])(?:(?:phase|ph)[\s_\-.]?([abc123rst])|l([123])|([ABC]))(?=$|[\s_\-.()])/i;

const phaseInName = (stem: string): 'A' | 'B' | 'C' | null => {
  const match = phaseToken.exec(stem);
  return match ? phaseOf(match[1] ?? (match[2] ? `l${match[2]}` : match[3]!)) : null;
};

/** The file's name without date, time and phase, where something with a letter and a digit or a blank is left. */
const segmentInName = (stem: string): string | null => {
  const left = stem
    .replace(phaseToken, ' ')
    .replace(/\d{4}[-_.]?\d{2}[-_.]?\d{2}(?:[T_\- ]?\d{2}[-_.h]?\d{2}(?:[-_.m]?\d{2})?)?/g, ' ')
    .replace(/\b(?:trace|test|data|log|export|record|hipot|dc|readings?|samples?)\b/gi, ' ')
    .replace(/[_\s]+/g, ' ')
    .replace(/^[\s\-.]+|[\s\-.]+$/g, '');
  return /\p{L}/u.test(left) && left.length >= 2 ? left : null;
};
