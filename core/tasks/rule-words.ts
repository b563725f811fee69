import type { ChosenCase, IntervalRule, LastWhen, Tell, VersionedDue } from '../evidence/due.ts';
import { counted } from '../report/counted.ts';
import { threeFigures } from '../report/quantities.ts';

/** 'version 3', or 'our default, edition 1'. */
export const ruleName = ({
  version,
  edition,
}: {
  readonly version: number;
  readonly edition?: number | null | undefined;
}) => (version === 0 ? `our default, edition ${edition}` : `version ${version}`);

type When = IntervalRule['cases'][number]['when'];

const percent = (share: number): string => `${threeFigures(100 * share)} %`;
const oneOf = (words: readonly string[]): string =>
  words.length < 2 ? words.join('') : `${words.slice(0, -1).join(', ')} or ${words.at(-1)}`;

/** What a case asks of the last test. */
function lastWords(last: LastWhen): string {
  const asked = [
    last.breakdown ? 'a breakdown' : '',
    last.stopped ? 'a reading stopped early' : '',
    last.rising ? 'leakage that rose while the voltage stood still' : '',
    last.phasesApartOver === undefined ? '' : `phases more than ${threeFigures(last.phasesApartOver)} : 1 apart`,
    last.levelOver === undefined ? '' : `a level above ${percent(last.levelOver)} of the limit`,
    last.growthOverPctPerYr === undefined
      ? ''
      : `a growth of which the whole 90 % interval, from the segment’s own tests, lies above ${threeFigures(last.growthOverPctPerYr)} % a year`,
  ];
  return oneOf(asked.filter((words) => words !== ''));
}

/** What a case asks of the segment: 'PILC, 15 kV or more, critical load'; empty where it asks nothing. */
function segmentWords(when: When): string {
  const { ratedKvFrom: from, ratedKvTo: to } = when;
  const asked = [
    when.insulation === undefined ? '' : oneOf(when.insulation),
    from !== undefined && to !== undefined
      ? from === to
        ? `${threeFigures(from)} kV`
        : `${threeFigures(from)} to ${threeFigures(to)} kV`
      : from !== undefined
        ? `${threeFigures(from)} kV or more`
        : to !== undefined
          ? `${threeFigures(to)} kV or less`
          : '',
    when.criticalLoad === undefined ? '' : when.criticalLoad ? 'critical load' : 'load not critical',
    when.alternateSupply === undefined ? '' : when.alternateSupply ? 'another supply' : 'no other supply',
  ];
  return asked.filter((words) => words !== '').join(', ');
}

/** A rule as people read it, from the rule alone. */
export function ruleWords(rule: IntervalRule): string {
  const cases = rule.cases.map(({ when, months }) => {
    const segment = segmentWords(when);
    const last = when.last === undefined ? '' : `after a test that found ${lastWords(when.last)}`;
    const which = [segment, last].filter((words) => words !== '').join(', ');
    return `${months} months: ${which === '' ? 'every segment' : which}.`;
  });
  const limits = Object.entries(rule.limitsNsPerKm ?? {}).map(([name, limit]) => `${name} ${threeFigures(limit)}`);
  return [
    rule.cases.length === 0
      ? `Every segment is tested every ${rule.otherwiseMonths} months.`
      : `Months between tests, by the first line that fits. ${cases.join(' ')} ${rule.otherwiseMonths} months: all others.`,
    `A test more than ${rule.earlyDays} days before its due day is early; up to ${rule.graceDays} days after it, it is on time.`,
    limits.length > 0 ? `Limits it counts by, nS/km at 20 °C: ${limits.join(', ')}; for others our default.` : '',
    rule.limitsNsPerKm !== undefined && limits.length === 0 ? 'The limits it counts by are our defaults.' : '',
    'Which test that is, the rule does not say.',
  ]
    .filter((words) => words !== '')
    .join(' ');
}

function tellWords({ what, value }: Tell): string {
  if (what === 'breakdown') return 'a breakdown';
  if (what === 'stopped') return 'a reading stopped early';
  if (what === 'rising') return 'leakage rising while the voltage stood still';
  if (what === 'phasesApartOver') return `phases ${Number(value!.toPrecision(2))} : 1 apart`;
  if (what === 'levelOver') return `a level at ${counted(Math.round(100 * value!))} % of the limit`;
  return `a growth surely above ${threeFigures(value!)} % a year`;
}

const chosenWords = ({ version }: VersionedDue, { at, months }: ChosenCase): string => {
  if (at === null) return `${months} months${version.rule.cases.length === 0 ? '' : ', no line of the rule fits'}`;
  const words = segmentWords(version.rule.cases[at]!.when);
  return `${months} months, line ${at + 1}${words === '' ? '' : ` (${words})`}`;
};

/** Which line of the rule made a due day, and what the last test found that it asks for. */
export function dueBecause(due: VersionedDue): string {
  const found = [...new Set(due.chosen.tells.map(tellWords))];
  const then = due.knownUntil === null ? '' : `; by the segment’s record as it stood before ${due.knownUntil}`;
  const so = `${chosenWords(due, due.chosen)}${then}`;
  return found.length === 0 ? so : `${found.join(', ')} on ${due.countedFrom}: ${so}`;
}
