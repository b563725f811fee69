import type { InputOf } from '../../../core/contract/asks/index.ts';
import { daysFault, othersFault, ruleFaults } from '../../words/retestForms.ts';

export type Rule = InputOf<'policy.setRetest'>['rule'];
type RuleCase = Rule['cases'][number];
type Last = NonNullable<RuleCase['when']['last']>;

/** Yes, no, or whichever. */
export type Either = '' | 'yes' | 'no';

/** A line of the rule as it is typed. An empty field asks for nothing. */
export interface Line {
  readonly key: number;
  readonly months: string;
  readonly insulation: readonly string[];
  readonly fromKv: string;
  readonly toKv: string;
  readonly criticalLoad: Either;
  readonly alternateSupply: Either;
  readonly breakdown: boolean;
  readonly stopped: boolean;
  readonly rising: boolean;
  /** Ratio, share of the limit in per cent, per cent a year. */
  readonly phasesApart: string;
  readonly level: string;
  readonly growth: string;
}

export interface RuleForm {
  readonly lines: readonly Line[];
  readonly others: string;
  readonly early: string;
  readonly grace: string;
}

let keys = 0;
export const emptyLine = (): Line => ({
  key: keys++,
  months: '12',
  insulation: [],
  fromKv: '',
  toKv: '',
  criticalLoad: '',
  alternateSupply: '',
  breakdown: false,
  stopped: false,
  rising: false,
  phasesApart: '',
  level: '',
  growth: '',
});

const either = (value: boolean | undefined): Either => (value === undefined ? '' : value ? 'yes' : 'no');
const text = (value: number | undefined): string => (value === undefined ? '' : String(Number(value.toPrecision(6))));

export const formOf = (rule: Rule): RuleForm => ({
  lines: rule.cases.map(({ when, months }) => ({
    key: keys++,
    months: String(months),
    insulation: when.insulation ?? [],
    fromKv: text(when.ratedKvFrom),
    toKv: text(when.ratedKvTo),
    criticalLoad: either(when.criticalLoad),
    alternateSupply: either(when.alternateSupply),
    breakdown: when.last?.breakdown ?? false,
    stopped: when.last?.stopped ?? false,
    rising: when.last?.rising ?? false,
    phasesApart: text(when.last?.phasesApartOver),
    level: text(when.last?.levelOver === undefined ? undefined : 100 * when.last.levelOver),
    growth: text(when.last?.growthOverPctPerYr),
  })),
  others: String(rule.otherwiseMonths),
  early: String(rule.earlyDays),
  grace: String(rule.graceDays),
});

const isNumber = (value: string): boolean => value.trim() !== '' && Number.isFinite(Number(value));
const isWhole = (value: string, from: number, to: number): boolean =>
  isNumber(value) && Number.isInteger(Number(value)) && Number(value) >= from && Number(value) <= to;
const within = (value: string, from: number, to: number): boolean =>
  value.trim() === '' || (isNumber(value) && Number(value) >= from && Number(value) <= to);

/** What keeps the form from being a rule, in words; null where nothing does. */
export function faultOf({ lines, others, early, grace }: RuleForm): string | null {
  for (const [i, line] of lines.entries()) {
    const at = `Line ${i + 1}: `;
    if (!isWhole(line.months, 1, 600)) return ruleFaults.months(at);
    if (!within(line.fromKv, 0, 1000) || !within(line.toKv, 0, 1000)) return ruleFaults.kv(at);
    if (!within(line.phasesApart, 1, 1000)) return ruleFaults.apart(at);
    if (!within(line.level, 1, 1000)) return ruleFaults.level(at);
    if (!within(line.growth, 0, 1000)) return ruleFaults.growth(at);
  }
  if (!isWhole(others, 1, 600)) return othersFault;
  if (!isWhole(early, 0, 3660) || !isWhole(grace, 0, 3660)) return daysFault;
  return null;
}

/** The form as a rule; only where it has no fault. */
export const ruleOf = ({ lines, others, early, grace }: RuleForm): Rule => ({
  kind: 'retest interval',
  cases: lines.map((line) => ({ when: whenOf(line), months: Number(line.months) })),
  otherwiseMonths: Number(others),
  earlyDays: Number(early),
  graceDays: Number(grace),
});

const number = (value: string): number | undefined => (value.trim() === '' ? undefined : Number(value));

function whenOf(line: Line): RuleCase['when'] {
  const [from, to] = [number(line.fromKv), number(line.toKv)];
  const last = lastOf(line);
  return {
    ...(line.insulation.length === 0 ? {} : { insulation: [...line.insulation] }),
    ...(from === undefined ? {} : { ratedKvFrom: from }),
    ...(to === undefined ? {} : { ratedKvTo: to }),
    ...(line.criticalLoad === '' ? {} : { criticalLoad: line.criticalLoad === 'yes' }),
    ...(line.alternateSupply === '' ? {} : { alternateSupply: line.alternateSupply === 'yes' }),
    ...(last === undefined ? {} : { last }),
  };
}

function lastOf(line: Line): Last | undefined {
  const [phases, level, growth] = [number(line.phasesApart), number(line.level), number(line.growth)];
  const last: Last = {
    ...(line.breakdown ? { breakdown: true } : {}),
    ...(line.stopped ? { stopped: true } : {}),
    ...(line.rising ? { rising: true } : {}),
    ...(phases === undefined ? {} : { phasesApartOver: phases }),
    ...(level === undefined ? {} : { levelOver: level / 100 }),
    ...(growth === undefined ? {} : { growthOverPctPerYr: growth }),
  };
  return Object.keys(last).length === 0 ? undefined : last;
}
