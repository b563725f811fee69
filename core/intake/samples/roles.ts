import { createHash } from 'node:crypto';
import { type NumberCell, numberCell } from './cells.ts';
import type { ColumnRole, LayoutColumn } from './shapes.ts';
import { momentOf } from './times.ts';
import { roleOfName, unitInHeader, unitOf } from './units.ts';

/** What the values of a column look like. */
interface ColumnLook {
  readonly numbers: Float64Array;
  readonly numeric: number;
  readonly timed: number;
  readonly dated: boolean;
  /** Days without a time of day. */
  readonly daysOnly: boolean;
  readonly rising: boolean;
  readonly suffix: string | null;
}

export interface GuessedRoles {
  readonly columns: readonly LayoutColumn[];
  readonly doubts: readonly string[];
  readonly confidence: number;
}

/** Units that the preamble says: in the order of the columns, or by role. */
export interface UnitsSaid {
  readonly inOrder: readonly string[];
  readonly byRole: ReadonlyMap<ColumnRole, string>;
}

/** The same for every file with this header: its names and units in order, without case and blanks. */
export const fingerprintOf = (names: readonly string[], delimiter: string | null): string =>
  createHash('sha256')
    .update(JSON.stringify([delimiter, names.map((name) => name.normalize('NFKC').toLowerCase().replace(/\s+/g, ''))]))
    .digest('hex')
    .slice(0, 16);

/** Roles and units of the columns from their names, and from their values where names are silent. */
export const guessRoles = (
  names: readonly string[],
  rows: readonly (readonly string[])[],
  decimal: '.' | ',',
  unitsSaid: UnitsSaid,
): GuessedRoles => {
  const looks = names.map((_, at) => lookAt(rows, at, decimal));
  const doubts: string[] = [];
  const roles: ColumnRole[] = names.map((name, at) => {
    const look = looks[at]!;
    if (look.numeric < 0.5 && look.timed < 0.5) return 'other';
    const byName = roleOfName(name);
    const byUnit = unitInHeader(name)?.role ?? unitOf(name)?.role ?? null;
    if (look.timed > 0.5 && look.numeric < 0.5) return look.daysOnly ? 'date' : 'time';
    return byName === 'other' ? 'other' : (byUnit ?? byName ?? 'other');
  });
  const named = roles.some((role) => role !== 'other' && role !== 'date');
  keepBest(roles, 'time', (at) => timeRank(looks[at]!, names[at]!));
  for (const role of ['voltage', 'current', 'resistance'] as const)
    keepBest(roles, role, (at) => looks[at]!.numeric + spanOf(looks[at]!) / 10);
  fillFromValues(roles, looks, names);
  const guessedByValues = !named || roles.filter((role) => role === 'voltage' || role === 'current').length < 2;

  const columns = names.map((name, at): LayoutColumn => {
    const role = roles[at]!;
    const label = name === '' ? `column ${at + 1}` : name;
    if (role === 'other' || role === 'date')
      return { name: label, role, unit: role === 'date' ? 'date' : null, unitGuessed: false };
    const look = looks[at]!;
    if (role === 'time' && look.timed > 0.5 && look.numeric < 0.5)
      return { name: label, role, unit: look.dated ? 'date-time' : 'clock', unitGuessed: false };
    const said =
      unitInHeader(name) ??
      unitOf(name) ??
      (look.suffix ? unitOf(look.suffix) : null) ??
      unitOf(unitsSaid.byRole.get(role) ?? unitsSaid.inOrder[at] ?? '');
    if (said && said.role === role)
      return { name: label, role, unit: said.unit === 'clock' ? 's' : said.unit, unitGuessed: false };
    const unit = unitFromValues(role, look);
    if (unit) doubts.push(`the unit of '${label}' is not said; ${unit} is a guess from its values`);
    return { name: label, role, unit, unitGuessed: true };
  });
  const settled = unitFromResistance(columns, looks, doubts);
  const doubt =
    (guessedByValues ? 0.35 : 0) +
    0.15 * settled.filter((column) => column.role !== 'other' && column.unitGuessed).length;
  if (guessedByValues) doubts.push('the columns were told apart by their values');
  return { columns: settled, doubts, confidence: Math.max(0.1, 1 - doubt) };
};

/** Rows looked at for the guess, spread over the whole table. */
const lookedRows = 2000;

const lookAt = (rows: readonly (readonly string[])[], at: number, decimal: '.' | ','): ColumnLook => {
  const every = Math.max(1, Math.floor(rows.length / lookedRows));
  const numbers: number[] = [];
  const marks: number[] = [];
  const suffixes = new Map<string, number>();
  let seen = 0;
  let numeric = 0;
  let timed = 0;
  let days = 0;
  let dated = false;
  for (let i = 0; i < rows.length; i += every) {
    const cell = rows[i]![at] ?? '';
    if (cell === '') continue;
    seen++;
    const number: NumberCell | null = numberCell(cell, decimal);
    if (number) {
      numeric++;
      numbers.push(Number(number.digits));
      if (number.suffix) suffixes.set(number.suffix, (suffixes.get(number.suffix) ?? 0) + 1);
      marks.push(Number(number.digits));
      continue;
    }
    const moment = momentOf(cell, false);
    if (moment) {
      timed++;
      if (moment.day !== null) days++;
      dated ||= moment.day !== null && moment.secondOfDay > 0;
      marks.push((moment.day ?? 0) * 86_400 + moment.secondOfDay);
    }
  }
  let up = 0;
  let down = 0;
  for (let i = 1; i < marks.length; i++) marks[i]! > marks[i - 1]! ? up++ : marks[i]! < marks[i - 1]! ? down++ : 0;
  // A tester that changes range in words writes more than one unit; each cell then goes by its own.
  const [suffix] = [...suffixes].sort((a, b) => b[1] - a[1])[0] ?? [null];
  const times = [...suffixes.values()].reduce((sum, count) => sum + count, 0);
  return {
    numbers: Float64Array.from(numbers),
    numeric: seen === 0 ? 0 : numeric / seen,
    timed: seen === 0 ? 0 : timed / seen,
    dated,
    daysOnly: timed > 0 && days === timed && !dated,
    rising: marks.length >= 3 && down <= 0.02 * marks.length && up >= 0.1 * marks.length,
    suffix: times > 0.8 * numeric ? suffix : null,
  };
};

const keepBest = (roles: ColumnRole[], role: ColumnRole, rank: (at: number) => number): void => {
  const holders = roles.flatMap((held, at) => (held === role ? [at] : []));
  const best = holders.reduce<number | null>((kept, at) => (kept === null || rank(at) > rank(kept) ? at : kept), null);
  for (const at of holders) if (at !== best) roles[at] = 'other';
};

/** Elapsed numbers before date-times before times of day; a column that does not rise is no time. */
const timeRank = (look: ColumnLook, name: string): number =>
  (look.rising ? 10 : 0) +
  (look.numeric > 0.5 ? 3 : look.dated ? 2 : 1) +
  (/elapsed|test time|duration/i.test(name) ? 4 : 0);

const spanOf = (look: ColumnLook): number => {
  const low = Math.min(...look.numbers);
  const high = Math.max(...look.numbers);
  return look.numbers.length > 0 && high > low ? 1 : 0;
};

/** Share of values within 1 % of a high one: near 1 for a voltage that is held, small for a current that decays. */
const heldShare = (look: ColumnLook): number => {
  const sorted = look.numbers.map(Math.abs).sort();
  const top = sorted[Math.floor(0.95 * (sorted.length - 1))] ?? 0;
  return top > 0
    ? look.numbers.filter((value) => Math.abs(Math.abs(value) - top) <= 0.01 * top).length / look.numbers.length
    : 0;
};

const fillFromValues = (roles: ColumnRole[], looks: readonly ColumnLook[], names: readonly string[]): void => {
  const free = (at: number): boolean => roles[at] === 'other' && roleOfName(names[at]!) !== 'other';
  if (!roles.includes('time')) {
    const rising = roles.flatMap((_, at) => (free(at) && looks[at]!.rising ? [at] : []));
    const counter = (at: number): boolean =>
      looks[at]!.numbers.every((value, i) => i === 0 || value - looks[at]!.numbers[i - 1]! === 1);
    const best = rising.find((at) => looks[at]!.timed > 0.5) ?? rising.find((at) => !counter(at)) ?? rising[0];
    if (best !== undefined) roles[best] = 'time';
  }
  const values = roles.flatMap((_, at) => (free(at) && looks[at]!.numeric > 0.5 && spanOf(looks[at]!) > 0 ? [at] : []));
  const nameless = values.filter(
    (at) => roleOfName(names[at]!) === null && !/^(?:no|nr|index|sample|point|#|id)\b/i.test(names[at]!),
  );
  if (!roles.includes('voltage') && nameless.length > 0) {
    const best = nameless.reduce((kept, at) => (heldShare(looks[at]!) > heldShare(looks[kept]!) ? at : kept));
    roles[best] = 'voltage';
  }
  if (!roles.includes('current')) {
    const left = nameless.filter((at) => roles[at] === 'other');
    if (left.length > 0) roles[left[0]!] = 'current';
  }
};

const unitFromValues = (role: ColumnRole, look: ColumnLook): string | null => {
  const high = look.numbers.reduce((top, value) => Math.max(top, Math.abs(value)), 0);
  if (role === 'voltage') return high > 300 ? 'V' : 'kV';
  if (role !== 'time') return null;
  const steps = look.numbers
    .slice(1)
    .map((value, i) => value - look.numbers[i]!)
    .filter((step) => step > 0)
    .sort();
  const step = steps[steps.length >> 1] ?? 0;
  if (step < 0.0002) return 'd';
  if (step < 0.05) return 'min';
  if (high > 20_000 && step >= 20) return 'ms';
  // Rows one apart could be seconds or minutes where there are few of them.
  if (step >= 0.5 && high <= 61) return null;
  return 's';
};

/** R = V/I settles a unit of current that nothing else says. */
const unitFromResistance = (
  columns: readonly LayoutColumn[],
  looks: readonly ColumnLook[],
  doubts: string[],
): LayoutColumn[] => {
  const at = (role: ColumnRole): number => columns.findIndex((column) => column.role === role);
  const [v, i, r] = [at('voltage'), at('current'), at('resistance')];
  const settled = [...columns];
  if (v < 0 || i < 0 || r < 0 || columns[i]!.unit !== null || columns[r]!.unit === null) return settled;
  const power: Record<string, number> = { V: -3, kV: 0, Ohm: -6, kOhm: -3, MOhm: 0, GOhm: 3, TOhm: 6 };
  const logs: number[] = [];
  const count = Math.min(looks[v]!.numbers.length, looks[i]!.numbers.length, looks[r]!.numbers.length);
  for (let k = 0; k < count; k++) {
    const product = looks[v]!.numbers[k]! / (looks[i]!.numbers[k]! * looks[r]!.numbers[k]!);
    if (product > 0 && Number.isFinite(product)) logs.push(Math.log10(product));
  }
  if (logs.length < 5) return settled;
  const middle =
    logs.sort((a, b) => a - b)[logs.length >> 1]! + power[columns[v]!.unit ?? 'kV']! - power[columns[r]!.unit!]! + 3;
  const nearest = Math.round(middle / 3) * 3;
  const unit = { '-3': 'nA', '0': 'uA', '3': 'mA', '6': 'A' }[String(nearest)];
  if (unit === undefined || Math.abs(middle - nearest) > 0.1) return settled;
  settled[i] = { ...columns[i]!, unit };
  doubts.push(`the unit of '${columns[i]!.name}' is not said; ${unit} follows from voltage and resistance`);
  return settled;
};
