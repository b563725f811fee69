import { describe, expect, test } from 'vitest';
import { fitMixedModel, type MixedModelFit, randomEffects } from '../../core/numerics/mixedModel.ts';
import type { MixedModelRows } from '../../core/numerics/mixedModelGroup.ts';
import { expectDigits, readCsv, readJson } from './readData.ts';

// Reference: R 4.2.2, lme4 1.1-31. Origin and licence of the data: data/README.md.

interface Row {
  readonly group: string;
  readonly cohort: string;
  readonly time: number;
  readonly y: number;
  /** Further fixed effects, shared by all cohorts. */
  readonly others: readonly number[];
}

/** y ~ 0 + cohort + cohort:time + others + (1 + time | group), as our engine takes it. */
function rowsOf(data: readonly Row[]): { rows: MixedModelRows; groups: string[]; cohorts: string[] } {
  const groups = [...new Set(data.map((row) => row.group))];
  const cohorts = [...new Set(data.map((row) => row.cohort))].sort();
  const sorted = groups.flatMap((group) => data.filter((row) => row.group === group));
  const others = sorted[0]!.others.length;
  const width = 2 + others;
  const rowStart = Int32Array.from([...groups, ''], (group) =>
    group === '' ? sorted.length : sorted.findIndex((row) => row.group === group),
  );
  return {
    groups,
    cohorts,
    rows: {
      groupCount: groups.length,
      rowStart,
      response: Float64Array.from(sorted, (row) => row.y),
      time: Float64Array.from(sorted, (row) => row.time),
      extraVariance: new Float64Array(sorted.length),
      stepCount: new Uint8Array(groups.length),
      stepBits: new Uint8Array(sorted.length),
      fixedCount: 2 * cohorts.length + others,
      columnStart: Int32Array.from({ length: groups.length + 1 }, (_, g) => g * width),
      columnIndex: Int32Array.from(
        groups.flatMap((_, g) => {
          const cohort = cohorts.indexOf(sorted[rowStart[g]!]!.cohort);
          return [cohort, cohorts.length + cohort, ...Array.from({ length: others }, (_, k) => 2 * cohorts.length + k)];
        }),
      ),
      valueStart: Int32Array.from(groups, (_, g) => rowStart[g]! * width),
      values: Float64Array.from(sorted.flatMap((row) => [1, row.time, ...row.others])),
    },
  };
}

function fitted(
  rows: MixedModelRows,
  restricted: boolean,
  levelVariance: number,
  slopeVariance: number,
): MixedModelFit {
  return fitMixedModel(rows, {
    restricted,
    start: { levelVariance, covariance: 0, slopeVariance, stepVariance: 1, errorVariance: levelVariance / 4 },
    mostPasses: 200,
    tolerance: 1e-9,
  });
}

interface Lme4Fit {
  readonly data: string;
  readonly method: 'REML' | 'ML';
  readonly criterion: number;
  readonly fixed: Record<string, number>;
  readonly fixed_se: Record<string, number>;
  readonly var_components: readonly { grp: string; var1?: string; var2?: string; vcov: number }[];
  readonly ranef: Record<string, [number, number]>;
  readonly ranef_cond_cov: Record<string, [[number, number], [number, number]]>;
}

const { fits } = readJson<{ fits: readonly Lme4Fit[] }>('lme4.json');

function sleep(): Row[] {
  return readCsv('sleepstudy.csv').map((row) => ({
    group: row.Subject!,
    cohort: '(Intercept)',
    time: Number(row.Days),
    y: Number(row.Reaction),
    others: [],
  }));
}

function cable(): Row[] {
  return readCsv('mixed_cable.csv').map((row) => ({
    group: row.segment!,
    cohort: row.cohort!,
    time: Number(row.t),
    y: Number(row.y),
    others: [Number(row.lv)],
  }));
}

describe.each(fits.map((reference) => [reference.data, reference.method, reference] as const))(
  'the mixed model on %s by %s equals lme4 to 4 digits',
  (data, method, reference) => {
    const isSleep = data === 'sleepstudy.csv';
    const { rows, groups, cohorts } = rowsOf(isSleep ? sleep() : cable());
    const ours = fitted(rows, method === 'REML', isSleep ? 400 : 0.2, isSleep ? 20 : 0.01);
    const names = isSleep
      ? ['(Intercept)', 'Days']
      : [...cohorts.map((c) => `cohort${c}`), ...cohorts.map((c) => `cohort${c}:t`), 'lv'];

    test('the criterion', () => {
      expect(ours.converged).toBe(true);
      // lme4 stops its search within about 1e-9 of the top; 8 figures leave room for that.
      expectDigits(ours.criterion, reference.criterion, 8);
    });

    test('the fixed effects and their standard errors', () => {
      names.forEach((name, i) => {
        expectDigits(ours.fixed[i]!, reference.fixed[name]!, 4);
        expectDigits(Math.sqrt(ours.fixedCovariance[i * names.length + i]!), reference.fixed_se[name]!, 4);
      });
    });

    test('the variance components', () => {
      const [level, slope, covariance, error] = reference.var_components;
      expectDigits(ours.variances.levelVariance, level!.vcov, 4);
      expectDigits(ours.variances.slopeVariance, slope!.vcov, 4);
      expectDigits(ours.variances.covariance, covariance!.vcov, 4);
      expectDigits(ours.variances.errorVariance, error!.vcov, 4);
    });

    test('every predicted random effect and its conditional covariance', () => {
      const effects = randomEffects(rows, ours);
      groups.forEach((group, g) => {
        const [level, slope] = reference.ranef[group]!;
        // An effect near 0 is held to the same absolute slack as one of ordinary size.
        expect(Math.abs(effects.mean[2 * g]! - level)).toBeLessThan(
          5e-5 * Math.max(Math.abs(level), Math.sqrt(ours.variances.levelVariance)),
        );
        expect(Math.abs(effects.mean[2 * g + 1]! - slope)).toBeLessThan(
          5e-5 * Math.max(Math.abs(slope), Math.sqrt(ours.variances.slopeVariance)),
        );
        const [[v00, v01], [, v11]] = reference.ranef_cond_cov[group]!;
        expectDigits(Math.sqrt(effects.covariance[3 * g]!), Math.sqrt(v00), 4);
        expectDigits(Math.sqrt(effects.covariance[3 * g + 2]!), Math.sqrt(v11), 4);
        expect(Math.abs(effects.covariance[3 * g + 1]! - v01)).toBeLessThan(1e-4 * Math.sqrt(v00 * v11));
      });
    });
  },
);

interface CableEvents {
  readonly events: readonly {
    segment: number;
    cohort: string;
    y: number;
    t10: number;
    dT: number;
    lnv: number;
  }[];
  readonly events_reml: CableReference;
  readonly events_ml: CableReference;
}

interface CableReference {
  readonly fixef: Record<string, number>;
  readonly se_fixef: Record<string, number>;
  readonly varcorr: readonly { vcov: number }[];
  readonly criterion: number;
  readonly ranef: { segment: { values: readonly Record<string, number | string>[] } };
}

describe.each(['events_reml', 'events_ml'] as const)(
  'the event model with temperature and voltage (%s) equals lme4 to 4 digits',
  (which) => {
    const data = readJson<CableEvents>('lmm_cable_events.json');
    const reference = data[which];
    const { rows, groups, cohorts } = rowsOf(
      data.events.map((e) => ({
        group: String(e.segment),
        cohort: e.cohort,
        time: e.t10,
        y: e.y,
        others: [e.dT, e.lnv],
      })),
    );
    const ours = fitted(rows, which === 'events_reml', 0.4, 0.1);

    test('fixed effects, standard errors, variances and criterion', () => {
      const names = [...cohorts.map((c) => `cohort${c}`), ...cohorts.map((c) => `cohort${c}:t10`), 'dT', 'lnv'];
      names.forEach((name, i) => {
        expectDigits(ours.fixed[i]!, reference.fixef[name]!, 4);
        expectDigits(Math.sqrt(ours.fixedCovariance[i * names.length + i]!), reference.se_fixef[name]!, 4);
      });
      const [level, slope, covariance, error] = reference.varcorr;
      expectDigits(ours.variances.levelVariance, level!.vcov, 4);
      expectDigits(ours.variances.slopeVariance, slope!.vcov, 4);
      expectDigits(ours.variances.covariance, covariance!.vcov, 4);
      expectDigits(ours.variances.errorVariance, error!.vcov, 4);
      expectDigits(ours.criterion, reference.criterion, 8);
    });

    test('every segment’s own level and slope', () => {
      const effects = randomEffects(rows, ours);
      for (const row of reference.ranef.segment.values) {
        const g = groups.indexOf(String(row.level));
        expect(Math.abs(effects.mean[2 * g]! - Number(row['(Intercept)']))).toBeLessThan(5e-5);
        expect(Math.abs(effects.mean[2 * g + 1]! - Number(row.t10))).toBeLessThan(5e-5);
      }
    });
  },
);
