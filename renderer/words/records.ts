import type { PreviewedFile, TraceSummary } from '../../core/contract/shapes/records.ts';
import { asSet, count, fixed, measured, nb } from './numbers.ts';
import { type Piece, type Sentence, strong } from './sentence.ts';

type Files = readonly PreviewedFile[];

/** What the tester's files are, in a sentence. */
export function recordsOpening(files: Files): Sentence {
  const with_ = (verdict: PreviewedFile['verdict']) => files.filter((file) => file.verdict === verdict).length;
  const matched = files.filter((file) => file.matched).length;
  const open = with_('new') - matched;
  const pieces: Piece[] = [];
  if (matched > 0)
    pieces.push(
      strong(`${count(matched, 'file')} ${matched === 1 ? 'is' : 'are'} matched`),
      ' to segment, phase and day; look them over, then accept them together. ',
    );
  if (open > 0) pieces.push(strong(count(open, 'file')), ` ${open === 1 ? 'needs' : 'need'} a person to say whose. `);
  const known = with_('known') + with_('twice');
  if (known > 0) pieces.push(`${count(known, 'file')} ${known === 1 ? 'is' : 'are'} in already. `);
  const refused = with_('refused');
  if (refused > 0) pieces.push(strong(`${count(refused, 'file')} cannot be read`), '; each says why.');
  return pieces;
}

/** '20 kV for 5 min': how high and how long. */
const held = ({ row }: TraceSummary): string => {
  const kv = `${measured(row.voltage_kv ?? 0)}${nb}kV`;
  if (row.breakdown_kv !== null) return `broke down at ${measured(row.breakdown_kv)}${nb}kV`;
  if (row.dwell_s === null) return `no hold, ${kv} reached`;
  const time =
    row.dwell_s < 90 ? `${fixed(row.dwell_s, 0)}${nb}s` : `${fixed(row.dwell_s / 60, 1).replace('.0', '')}${nb}min`;
  return `${row.outcome === 'stopped' ? 'stopped after' : row.outcome} ${kv} for ${time}`;
};

/** What a file says, in one line. */
export function verdictLine(reading: TraceSummary): string {
  const { row } = reading;
  const parts = [held(reading)];
  if (row.leakage_ua !== null) parts.push(`${measured(row.leakage_ua)}${nb}µA`);
  if (row.resistance_mohm !== null) parts.push(resistanceWords(row.resistance_mohm));
  if (row.steps.length > 1) parts.push(`${row.steps.length} steps`);
  if (row.capacitance_nf !== null) parts.push(`${measured(row.capacitance_nf)}${nb}nF`);
  return parts.join(' · ');
}

export const resistanceWords = (mohm: number): string =>
  mohm >= 1e6
    ? `${measured(mohm / 1e6)}${nb}TΩ`
    : mohm >= 1000
      ? `${measured(mohm / 1000)}${nb}GΩ`
      : `${measured(mohm)}${nb}MΩ`;

/** Pairs of name and value of everything a trace was read to say. */
export function readingFacts(reading: TraceSummary): (readonly [string, string])[] {
  const { row, standard, absorptionN, steadyUa, capacitanceNf, polarizationIndex, tipUp } = reading;
  const or = (value: { known: true } | { known: false; because: string }, words: string): string =>
    value.known ? words : value.because;
  return [
    ['Ended', `${row.outcome}: ${reading.outcomeBecause}`],
    ['Rise', row.ramp_kv_per_s === null ? 'not seen' : `${measured(row.ramp_kv_per_s)}${nb}kV/s`],
    [
      'Leakage at the end',
      row.leakage_ua === null
        ? 'not resolved'
        : `${measured(row.leakage_ua)}${nb}µA${row.leakage_spread_ua === null ? '' : `, single samples spread by ${measured(row.leakage_spread_ua)}${nb}µA`}`,
    ],
    ['After one minute', row.one_minute_ua === null ? 'not reached' : `${measured(row.one_minute_ua)}${nb}µA`],
    [
      'For comparison',
      standard.known
        ? `${measured(standard.ua)} ± ${measured(1.645 * standard.sdUa)}${nb}µA at ${asSet(standard.atMin)}${nb}min${standard.extrapolated ? ', continued along the fitted fall' : ''} (90${nb}%)`
        : standard.because,
    ],
    ['Absorption ratio 60 s to 30 s', row.absorption_ratio === null ? 'not measured' : measured(row.absorption_ratio)],
    ['Polarization index', polarizationIndex.known ? measured(polarizationIndex.value) : polarizationIndex.because],
    [
      'Fall of the current',
      or(
        absorptionN,
        absorptionN.known && steadyUa.known
          ? `t to the −${measured(absorptionN.value)}, over ${measured(steadyUa.value)}${nb}µA that stays`
          : '',
      ),
    ],
    [
      'Capacitance',
      or(
        capacitanceNf,
        capacitanceNf.known
          ? `${measured(capacitanceNf.value)} ± ${measured(1.645 * capacitanceNf.sd)}${nb}nF from the rise`
          : '',
      ),
    ],
    [
      'Across the steps',
      or(
        tipUp,
        tipUp.known
          ? `resistance ${tipUp.resistanceFallShare >= 0 ? 'fell' : 'rose'} by ${fixed(Math.abs(tipUp.resistanceFallShare) * 100, 0)}${nb}%`
          : '',
      ),
    ],
  ];
}

/** Energy and earthing, to act on before anyone touches the cable. */
export function energyCaution(reading: TraceSummary): string {
  const { storedEnergyJ: energy, earthMin } = reading;
  const held_ = energy.known ? `At that voltage the cable held ${measured(energy.value)} J. ` : '';
  const earth = earthMin.known
    ? `The usual rule keeps it earthed for four times as long as the voltage was on: ${fixed(Math.ceil(earthMin.value), 0)}${nb}min. `
    : '';
  return `${held_}${earth}Local rules and the person in charge decide.`;
}

/** How sure a candidate is, in a word. */
export const sureness = (score: number): string =>
  score >= 0.95 ? 'certain' : score >= 0.8 ? 'likely' : score >= 0.6 ? 'possible' : 'a guess';

/** What an owner's table may hold. */
export const tableWords = {
  segments: 'cable segments',
  splices: 'splices',
  failures: 'failures',
  tests: 'test results',
} as const;

const symbols: Readonly<Record<string, string>> = {
  uA: 'µA',
  Ohm: 'Ω',
  kOhm: 'kΩ',
  MOhm: 'MΩ',
  GOhm: 'GΩ',
  TOhm: 'TΩ',
  mm2: 'mm²',
  C: '°C',
  F: '°F',
};

/** A unit as it is shown. */
export const unitWords = (unit: string): string => symbols[unit] ?? unit;
