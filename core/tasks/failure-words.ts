import type { FailureCoefficient, FailureReport } from '../forecast/failure/fit.ts';
import type { FailureRisk } from './failure-risk.ts';

/** Half width of a 90 % interval in standard errors. */
const ninety = 1.6448536269514722;

const three = (x: number) => Number(x.toPrecision(3));
const two = (x: number) => String(Number(x.toPrecision(2)));
const signed = (x: number) => String(three(x)).replace('-', '\u2212');
const grouped = (x: number) => Math.round(x).toLocaleString('en');

/** A step of a covariate that a person can picture, and how many of the model's units it is. */
function stepOf({ name }: FailureCoefficient): { readonly words: string; readonly units: number } {
  if (name === 'level') return { words: 'twice the level against the limit', units: 1 };
  if (name === 'growth') return { words: 'leakage growing by 10.5\u00a0% a year more', units: 1 };
  if (name === 'length') return { words: 'twice the length', units: Math.LN2 };
  if (name === 'splices') return { words: 'one splice per km where there was none', units: Math.LN2 };
  return { words: name.replace(' against ', ' instead of '), units: 1 };
}

/** By how much a step multiplies the failure rate: 'twice the level against the limit 2.2 times (1.7 to 2.9)'. */
function timesWords(c: FailureCoefficient): string {
  const { words, units } = stepOf(c);
  const at = (errors: number) => two(Math.exp(units * (c.lnHazardRatio + errors * c.standardError)));
  return `${words} ${at(0)} times (${at(-ninety)} to ${at(ninety)})`;
}

function ageWords({ low, high }: FailureReport['shape']): string {
  if (low > 1) return 'It rises with age.';
  if (high < 1) return 'It falls with age.';
  return 'Whether it rises with age by itself is not sure.';
}

/** What the failure model says of this fleet, in plain sentences; every interval is of 90 %. */
export function failureMeaning(report: FailureReport): string {
  const covariates = report.coefficients.filter(({ name }) => name !== 'intercept');
  const isSure = (c: FailureCoefficient) => Math.abs(c.lnHazardRatio) > ninety * c.standardError;
  const sure = covariates.filter(isSure).map(timesWords);
  const unsure = covariates.filter((c) => !isSure(c)).map((c) => c.name.replace(' against ', ' instead of '));
  const rate = `${grouped(report.failures)} failures in ${grouped(report.segmentYears)} segment-years`;
  const often = report.failures > 0 ? `, one in ${grouped(report.segmentYears / report.failures)} a year` : '';
  const changes =
    sure.length > 0
      ? `What surely changes it, with 90\u00a0% intervals: ${sure.join('; ')}.`
      : 'Nothing that was looked at surely changes it.';
  const rest = unsure.length > 0 ? ` Not sure either way: ${unsure.join(', ')}.` : '';
  return `The failure rate here: ${rate}${often}. ${ageWords(report.shape)} ${changes}${rest}`;
}

/** The failure model in sentences: what it means, what it rests on, what it estimates, how much its covariates say. */
export function failureModelWords(
  report: FailureReport,
  { recordsBegin, failures }: Pick<FailureRisk, 'recordsBegin' | 'failures'>,
): string[] {
  const left = failures.notCounted.map((one) => `${one.failures} ${one.because}`);
  const lines = [
    failureMeaning(report),
    report.basisInWords,
    `${grouped(report.failures)} failures in ${grouped(report.segmentYears)} segment-years, records taken to begin ${recordsBegin ?? 'with the first energising'}.`,
    ...(left.length === 0 ? [] : [`${failures.total} are on record; not counted: ${left.join('; ')}.`]),
    `Weibull shape ${three(report.shape.value)} (90 %: ${three(report.shape.low)} to ${three(report.shape.high)}).`,
  ];
  for (const c of report.coefficients)
    lines.push(
      `${c.name}${c.unit ? `, ${c.unit}` : ''}: ln hazard ratio ${signed(c.lnHazardRatio)} ± ${three(c.standardError)}`,
    );
  const ratio = report.againstAgeAlone;
  lines.push(
    ratio.known
      ? `Against age alone: likelihood ratio ${three(ratio.statistic)} on ${ratio.degrees} degrees of freedom, p ${ratio.p.toPrecision(2)}.`
      : `Against age alone: ${ratio.because}.`,
  );
  for (const left of report.left) lines.push(`${left.name} left out: ${left.because}.`);
  return lines;
}
