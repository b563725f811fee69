import type { Source } from './source.ts';

const ieee43: Source = { document: 'IEEE 43', edition: '', table: 'discharge after a DC test', mark: 'quoted' };

export const earthingRule = {
  timesApplication: 4,
  returnVoltageV: 20,
  resistorLimitA: 1,
  source: ieee43,
} as const;

/** Least time to keep the cable solidly earthed after DC was on it for `applicationMin`: four times as long. */
export const earthingTimeMin = (applicationMin: number): number => earthingRule.timesApplication * applicationMin;

/** The order of discharge in the field: control to zero, resistive stick, solid earth, wait, recheck. */
export const dischargeSteps: readonly { readonly says: string; readonly source: Source }[] = [
  {
    says: 'Turn the voltage to zero and let the instrument bleed the cable.',
    source: { document: 'field practice', edition: 'public texts', table: 'order of discharge', mark: 'read' },
  },
  {
    says: 'Bring it down through a resistive discharge stick; direct earth only below about 1 kV.',
    source: { document: 'field practice', edition: 'public texts', table: 'order of discharge', mark: 'read' },
  },
  {
    says: 'Earth solidly before touching, and leave the earth on for at least four times as long as the voltage was on.',
    source: ieee43,
  },
  {
    says: 'Take the earth off by its stick and measure the voltage that returns. Over about 20 V: earth again and wait longer. Earth again in any case before touching.',
    source: ieee43,
  },
];
