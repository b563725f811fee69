import type { FleetColumns } from './columns.ts';
import { decided } from './decisions.ts';
import type { GrowthFit } from './growthFit.ts';
import { growthHeld } from './growthHeld.ts';
import { flag, normaliseReadings, readScale, stands } from './normalise.ts';

/**
 * Growth of every segment from other decisions on the same readings, in % a year, while what the whole fleet teaches
 * (corrections, spreads, shares, the phases' own ways) is held as it was fitted: what one verdict does to its segment,
 * without the others being moved by it. `columns` has the readings of the fit, ordinal by ordinal. NaN where a segment
 * has no usable reading; undefined where the changed record asks for effects that the fit does not have. Linear in the readings.
 */
export function growthWhenHeld(fit: GrowthFit, columns: FleetColumns): Float64Array | undefined {
  const { model } = fit;
  const { readings } = columns;
  const prepared = normaliseReadings(columns, model.settings);
  const shift = new Float64Array(readings.count);
  const before = model.columns.decisions;
  for (let r = 0; r < readings.count; r++) {
    // A repair of the fit stays where nothing has been decided on the reading since.
    if (model.shift[r] === 0 || stands(columns, r, decided.valueStands) || Number.isNaN(prepared.log[r]!)) continue;
    if ((before?.factor[r] ?? 1) !== (columns.decisions?.factor[r] ?? 1)) continue;
    shift[r] = model.shift[r]!;
    prepared.flag[r] = flag.repaired;
    readScale(columns, prepared, r, 10 ** Math.round(shift[r]! / Math.LN10));
  }
  return growthHeld(model, columns, prepared, shift, () => model.contrasts);
}
