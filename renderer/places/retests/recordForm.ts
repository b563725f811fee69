import type { InputOf, OutputOf } from '../../../core/contract/asks/index.ts';
import type { Phase } from '../../../core/contract/shapes/trade.ts';
import { asSet } from '../../words/numbers.ts';
import { plainNumberFault } from '../../words/retestForms.ts';

export type Typed = InputOf<'retest.record'>;
export type Outcome = Typed['readings'][number]['outcome'];
export type Method = NonNullable<Typed['method']>;
export type Purpose = NonNullable<Typed['purpose']>;
export const methods: readonly Method[] = ['dc_withstand', 'dc_step', 'insulation_resistance'];
export const purposes: readonly Purpose[] = ['acceptance', 'maintenance', 'after_repair'];
export const outcomes: readonly Outcome[] = ['withstood', 'breakdown', 'stopped'];

/** Currents, or the resistance that a tester of insulation resistance shows. */
export type Unit = 'nA' | 'uA' | 'mA' | 'MΩ';

export interface Read {
  readonly value: string;
  readonly belowFloor: boolean;
  /** No outcome is taken for granted: whoever records says that a phase withstood. */
  readonly outcome: Outcome | '';
  /** What was noted of a reading that is corrected; it goes with the value it was noted of. */
  readonly noted?: { readonly value: string; readonly note: string };
}
export const nothingRead: Read = { value: '', belowFloor: false, outcome: '' };

/** One voltage held for a time; a step test has several. */
export interface Step {
  readonly key: number;
  readonly kv: string;
  readonly minutes: string;
  readonly read: Readonly<Partial<Record<Phase, Read>>>;
}

export const optional = (text: string): number | null =>
  text.trim() === '' ? null : Number(text.replace('\u2212', '-'));
const isPositive = (text: string): boolean => text.trim() !== '' && Number(text) > 0;
const isTouched = (read: Read | undefined): read is Read =>
  read !== undefined && (read.value.trim() !== '' || read.outcome !== '' || read.belowFloor);
const isRead = (read: Read | undefined): read is Read => read !== undefined && isPositive(read.value);

/** A phase read at the cubicle already, its outcome still to be said. */
export const readAs = (phase: Phase, value: string | undefined): (readonly [Phase, Read])[] =>
  value === undefined || value.trim() === '' ? [] : [[phase, { ...nothingRead, value: value.trim() }]];

type RecordedTest = OutputOf<'segment.page'>['tests'][number];

/** The steps of a test on record, its currents in µA: whoever corrects one reading keeps the others. */
export function stepsOf({ readings }: RecordedTest): Step[] {
  const steps = new Map<string, { kv: string; minutes: string; read: Partial<Record<Phase, Read>> }>();
  for (const { phase, voltageKv, dwellMin, leakageUa, belowFloor, outcome, note } of readings) {
    const [kv, minutes] = [asSet(voltageKv), dwellMin === null ? '' : asSet(dwellMin)];
    // The same voltage for as long again is a step of its own.
    let again = 0;
    const key = () => `${kv} ${minutes} ${again}`;
    while (steps.get(key())?.read[phase]) again++;
    const step = steps.get(key()) ?? { kv, minutes, read: {} };
    const value = asSet(leakageUa);
    step.read[phase] = {
      value,
      belowFloor,
      outcome: outcome ?? '',
      ...(note === null ? {} : { noted: { value, note } }),
    };
    steps.set(key(), step);
  }
  return [...steps.values()].map((step, key) => ({ key, ...step }));
}

/** What stands in the form and would be lost: a phase with an outcome and no current, a number with a comma. */
export function unreadable(steps: readonly Step[], conditions: readonly string[]): string | null {
  const phases = new Set<string>();
  for (const { read } of steps)
    for (const [phase, each] of Object.entries(read)) if (isTouched(each) && !isRead(each)) phases.add(phase);
  if (phases.size > 0)
    return `Phase ${[...phases].join(', ')}: no reading that can be kept. Write a plain number above 0, with a point before its decimals; where it broke down, the highest current seen.`;
  const wrong = [...steps.flatMap(({ kv, minutes }) => [kv, minutes]), ...conditions].find((text) =>
    Number.isNaN(optional(text) ?? 0),
  );
  return wrong === undefined ? null : plainNumberFault(wrong);
}

/** What is read counts once it has its voltage and its outcome. */
export const stepsReady = (steps: readonly Step[]): boolean => {
  const used = steps.filter((step) => Object.values(step.read).some(isRead));
  return (
    used.length > 0 &&
    used.every(
      (step) =>
        isPositive(step.kv) &&
        (step.minutes.trim() === '' || isPositive(step.minutes)) &&
        Object.values(step.read).every((read) => !isRead(read) || read.outcome !== ''),
    )
  );
};

/** Readings as they are recorded, phase by phase, each with the step it was read at. */
export function readingsOf(steps: readonly Step[], phases: readonly Phase[], unit: Unit): Typed['readings'] {
  return phases.flatMap((phase) =>
    steps
      .filter((step) => isRead(step.read[phase]))
      .map((step, at) => {
        const { value, belowFloor, outcome, noted } = step.read[phase]!;
        return {
          phase,
          step: at,
          voltageKv: Number(step.kv),
          dwellMin: optional(step.minutes),
          ...(noted?.value === value ? { note: noted.note } : {}),
          ...currentOf(Number(value), Number(step.kv), unit),
          belowFloor,
          outcome: outcome as Outcome,
        };
      }),
  );
}

/** A resistance is kept as the current it stands for, µA = 1000 · kV ÷ MΩ, with what was read in the note. */
const currentOf = (value: number, kv: number, unit: Unit) =>
  unit === 'MΩ'
    ? {
        leakage: Number(((1000 * kv) / value).toPrecision(6)),
        leakageUnit: 'uA' as const,
        note: `Read as ${value} MΩ.`,
      }
    : { leakage: value, leakageUnit: unit };
