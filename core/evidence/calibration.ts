import { addDays, addMonths } from './due.ts';

/** Where a certificate names no due day: twelve months, common practice without a source. */
export const assumedMonths = 12;

export interface Calibration {
  readonly calibratedOn: string;
  readonly dueOn: string | null;
}

export type OnTheDay<C extends Calibration> =
  | { readonly status: 'in calibration'; readonly by: C }
  | { readonly status: 'out of calibration'; readonly by: C; readonly dueOn: string }
  | { readonly status: 'unknown'; readonly because: string };

export const dueDay = (calibration: Calibration): string =>
  calibration.dueOn ?? addMonths(calibration.calibratedOn, assumedMonths);

/**
 * Whether an instrument was in calibration on a day: the latest calibration up to that day must not have run out before it.
 * `calibrations` ascending. Null where the test names no instrument.
 */
export function calibrationOn<C extends Calibration>(calibrations: readonly C[] | null, day: string): OnTheDay<C> {
  if (calibrations === null) return { status: 'unknown', because: 'no instrument is named' };
  const before = calibrations.filter((one) => one.calibratedOn <= day);
  const by = before.at(-1);
  if (!by)
    return {
      status: 'unknown',
      because:
        calibrations.length === 0
          ? 'no calibration of the instrument is on record'
          : 'the first calibration on record is later than the test',
    };
  // An earlier certificate that runs longer than the latest still counts.
  const holding = before.findLast((one) => dueDay(one) >= day);
  return holding ? { status: 'in calibration', by: holding } : { status: 'out of calibration', by, dueOn: dueDay(by) };
}

export interface Lapse {
  /** First day without calibration. */
  readonly from: string;
  /** Last day without; null where no later calibration is on record. */
  readonly to: string | null;
}

/** Times without calibration between the first calibration on record and the last. */
export function lapsesOf(calibrations: readonly Calibration[]): Lapse[] {
  const lapses: Lapse[] = [];
  let covered: string | null = null;
  for (const one of calibrations) {
    if (covered !== null && one.calibratedOn > addDays(covered, 1))
      lapses.push({ from: addDays(covered, 1), to: addDays(one.calibratedOn, -1) });
    const due = dueDay(one);
    if (covered === null || due > covered) covered = due;
  }
  if (covered !== null) lapses.push({ from: addDays(covered, 1), to: null });
  return lapses;
}
