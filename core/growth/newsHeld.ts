import type { FleetColumns } from './columns.ts';
import type { GrowthFit } from './growthFit.ts';
import { growthHeld } from './growthHeld.ts';
import { flag, normaliseReadings, readScale } from './normalise.ts';
import { fitPhaseContrasts } from './phaseContrasts.ts';

/**
 * Growth of every segment, in % a year, from later records while what the fleet shares (cohorts, corrections, spreads,
 * ways of ageing) is held as an earlier fit left it: what the news of a segment does to it without the others being
 * heard. `columns` are the later records as of the day of the fit; `factor` says what each of their readings was
 * multiplied by as a slip. NaN where a segment has no usable reading; undefined where work of a kind was done that the
 * fit knows nothing of. Linear in the readings.
 */
export function growthWithNews(
  fit: GrowthFit,
  columns: FleetColumns,
  factor: ArrayLike<number>,
): Float64Array | undefined {
  const { model } = fit;
  const { readings } = columns;
  const prepared = normaliseReadings(columns, model.settings);
  const shift = new Float64Array(readings.count);
  for (let r = 0; r < readings.count; r++) {
    // What a verdict decided is in the reading already; only the repair of the fit is left.
    const repair = factor[r]! / (columns.decisions?.factor[r] ?? 1);
    if (Math.abs(repair - 1) < 1e-6 || Number.isNaN(prepared.log[r]!)) continue;
    shift[r] = Math.log(repair);
    prepared.flag[r] = flag.repaired;
    readScale(columns, prepared, r, repair);
  }
  return growthHeld(model, columns, prepared, shift, (events) =>
    model.settings.phaseContrasts ? fitPhaseContrasts(columns, prepared, events, shift, 1) : model.contrasts,
  );
}
