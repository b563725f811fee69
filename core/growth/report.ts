import { insulationFamilies, interventionKinds } from './columns.ts';
import type { Estimate, FitReport } from './growthFit.ts';
import type { FittedModel } from './model.ts';
import { temperaturePrior } from './temperaturePrior.ts';

/** How the fit went and what it estimated, each with its standard error and what was assumed beforehand. */
export function reportFit(model: FittedModel, ranked: number): FitReport {
  const { fit, prepared, events, columns } = model;
  let readingsUsed = 0;
  for (let r = 0; r < columns.readings.count; r++) if (!Number.isNaN(prepared.log[r]!)) readingsUsed++;
  return {
    segments: columns.segments.count,
    ranked,
    events: events.count,
    readingsUsed,
    passes: model.passes,
    converged: fit.converged,
    criterion: fit.criterion,
    mixturePasses: model.mixturePasses,
    temperatureBasis: events.season.basis,
    estimates: [...corrections(model), ...jumps(model), ...cohortSlopes(model), ...variances(model), ...mixture(model)],
  };
}

function fixed(model: FittedModel, index: number, name: string, unit: string, source: string, scale = 1): Estimate {
  const { fit, rows } = model;
  const at = index * rows.layout.count + index;
  const precision = rows.prior?.precision[at] ?? 0;
  return {
    name,
    unit,
    value: scale * fit.fixed[index]!,
    standardError: scale * Math.sqrt(fit.fixedCovariance[at]!),
    ...(rows.prior && precision > 0
      ? { prior: { mean: scale * rows.prior.mean[index]!, sd: scale / Math.sqrt(precision), source } }
      : {}),
  };
}

function corrections(model: FittedModel): Estimate[] {
  const { layout } = model.rows;
  if (layout.voltage < 0) return [];
  const list: Estimate[] = [];
  insulationFamilies.forEach((family, code) => {
    const index = layout.temperature[code]!;
    if (index < 0) return;
    list.push(fixed(model, index, `temperature, ${family}`, '% per °C', temperaturePrior(code).source, 100));
  });
  list.push(
    fixed(
      model,
      layout.voltage,
      'exponent of test voltage, about the usual one',
      '',
      'leakage a little steeper than voltage; our assumption',
    ),
    ...(layout.voltageCurve < 0
      ? []
      : [
          fixed(
            model,
            layout.voltageCurve,
            'bend of the rise with voltage',
            '',
            'between a power of the voltage and an exponential; our assumption',
          ),
        ]),
    fixed(model, layout.dwell, 'exponent of dwell', '', 'absorption current falls with time; our assumption'),
    fixed(model, layout.length, 'exponent of length, beyond proportional', '', 'none expected; our assumption'),
  );
  return list;
}

function jumps(model: FittedModel): Estimate[] {
  const list: Estimate[] = [];
  interventionKinds.forEach((kind, k) => {
    const index = model.rows.layout.jump[k]!;
    if (index < 0) return;
    const name = `drop of ln level at ${kind.replaceAll('_', ' ')}`;
    list.push(fixed(model, index, name, '', 'anything from a tenth to tenfold; our assumption'));
  });
  return list;
}

function cohortSlopes(model: FittedModel): Estimate[] {
  const { layout } = model.rows;
  return model.cohorts.names.map((name, c) =>
    fixed(
      model,
      layout.cohortSlope + c,
      `growth, ${name}`,
      '% per year',
      'slow ageing, and bands of one family alike',
      100,
    ),
  );
}

function variances(model: FittedModel): Estimate[] {
  const { fit, contrasts } = model;
  const v = fit.variances;
  const e = fit.varianceErrors;
  // The standard error of a root is that of the square over twice the root.
  const sd = (name: string, unit: string, variance: number, error: number, scale = 1): Estimate => ({
    name,
    unit,
    value: scale * Math.sqrt(variance),
    standardError: (scale * error) / (2 * Math.sqrt(variance)),
  });
  const list = [
    sd('spread of levels within a cohort', 'ln', v.levelVariance, e[0]!),
    sd('spread of growth within a cohort', '% per year', v.slopeVariance, e[2]!, 100),
    {
      name: 'correlation of level today and growth',
      unit: '',
      value: v.covariance / Math.sqrt(v.levelVariance * v.slopeVariance),
      standardError: e[1]! / Math.sqrt(v.levelVariance * v.slopeVariance),
    },
    sd('error of a test day', 'ln', v.errorVariance, e[4]!),
  ];
  if (model.settings.interventions) list.push(sd('spread of the drops', 'ln', v.stepVariance, e[3]!));
  if (model.settings.phaseContrasts) {
    list.push(
      sd('error of a phase within a test', 'ln', contrasts.readingVariance, Number.NaN),
      sd('lasting difference between phases', 'ln', contrasts.offsetVariance, Number.NaN),
      share('segments with one phase ageing on its own', contrasts.ownShare),
    );
  }
  if (model.settings.downWeightPhases) list.push(share('stray readings', model.strayShare));
  return list;
}

function share(name: string, value: number): Estimate {
  return { name, unit: '%', value: 100 * value, standardError: Number.NaN };
}

function mixture(model: FittedModel): Estimate[] {
  if (!model.settings.mixture) return [];
  const { agers } = model;
  let late = 0;
  for (let k = 2; k < agers.share.length; k++) late += agers.share[k]!;
  const plain = (name: string, value: number): Estimate => ({
    name,
    unit: '% per year',
    value: 100 * value,
    standardError: Number.NaN,
  });
  return [
    share('fast agers', agers.share[1]!),
    share('late, accelerating agers', late),
    plain('what a fast ager grows beyond its cohort', agers.fastMean),
    plain('what a late ager grows beyond its past', agers.lateMean),
    ...insulationFamilies.flatMap((family, f) =>
      model.rows.layout.temperature[f]! < 0
        ? []
        : [plain(`spread of ordinary growth, ${family}`, Math.sqrt(agers.slopeVariance[f]!))],
    ),
  ];
}
