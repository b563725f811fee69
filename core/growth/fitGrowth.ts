import { describeReadings } from './adjusted.ts';
import type { FleetColumns } from './columns.ts';
import type { GrowthFit } from './growthFit.ts';
import { fitModel } from './model.ts';
import { defaultGrowth, type GrowthOptions } from './options.ts';
import { segmentPosterior } from './posterior.ts';
import { reportFit } from './report.ts';
import { describeSegments, rankOrder } from './segmentGrowth.ts';

/**
 * Growth of every segment of the fleet, ranked, with intervals. Deterministic; cost linear in the readings.
 * A segment without a usable reading is in no order and has NaN everywhere.
 */
export function fitGrowth(
  columns: FleetColumns,
  options: GrowthOptions = {},
  onProgress: (share: number) => void = () => {},
): GrowthFit {
  const model = fitModel(columns, { ...defaultGrowth, ...options }, onProgress);
  const posterior = segmentPosterior(model);
  onProgress(0.95);
  const segments = describeSegments(model, posterior);
  const order = rankOrder(segments.growthPctPerYr);
  const readings = describeReadings(model);
  onProgress(1);
  return {
    segments,
    readings,
    posterior,
    order,
    cohorts: model.cohorts,
    report: reportFit(model, order.length),
    model,
  };
}
