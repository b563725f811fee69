import { assembleGroup, groupScratch } from '../numerics/mixedModelGroup.ts';
import { agerParts, posteriorParts, ways } from './agerParameters.ts';
import { AgerRoom } from './agerRoom.ts';
import type { GrowthPosterior } from './growthFit.ts';
import type { FittedModel } from './model.ts';
import { contrastAt, contrastSlope } from './phaseContrasts.ts';

/**
 * Level and slope of every segment today: the cohort's, its own part, the mean of its phases' own, and the doubt about
 * the fixed effects carried through (without it, intervals are too narrow).
 */
export function segmentPosterior(model: FittedModel): GrowthPosterior {
  const { columns, rows, fit, agers, agerInput, contrasts } = model;
  const count = columns.segments.count;
  const parts = agerParts(count);
  const room = new AgerRoom(agerInput, agers);
  const { layout } = rows;
  const { columnStart, columnIndex } = rows.rows;
  let width = 1;
  for (let s = 0; s < count; s++) width = Math.max(width, columnStart[s + 1]! - columnStart[s]!);
  const scratch = groupScratch(width);
  const levelRow = new Float64Array(width);
  const slopeRow = new Float64Array(width);
  for (let s = 0; s < count; s++) {
    if (!room.solve(s)) continue;
    room.write(parts);
    assembleGroup(rows.rows, s, fit.variances, scratch);
    const p = scratch.fixed;
    const column = columnStart[s]!;
    let level = 0;
    let slope = 0;
    for (let j = 0; j < p; j++) {
      const index = columnIndex[column + j]!;
      let atLevel = j === 0 ? 1 : 0;
      if (index === layout.length) atLevel = Math.log(columns.segments.lengthKm[s]!) - layout.usualLogLength;
      const atSlope = j === 1 ? 1 : 0;
      level += atLevel * fit.fixed[index]!;
      slope += atSlope * fit.fixed[index]!;
      levelRow[j] = atLevel - scratch.sb[j]!;
      slopeRow[j] = atSlope - scratch.sb[p + j]!;
    }
    let levelVariance = 0;
    let covariance = 0;
    let slopeVariance = 0;
    for (let i = 0; i < p; i++) {
      const at = columnIndex[column + i]! * layout.count;
      for (let j = 0; j < p; j++) {
        const c = fit.fixedCovariance[at + columnIndex[column + j]!]!;
        levelVariance += levelRow[i]! * c * levelRow[j]!;
        covariance += levelRow[i]! * c * slopeRow[j]!;
        slopeVariance += slopeRow[i]! * c * slopeRow[j]!;
      }
    }
    const commonLevel = level;
    const commonSlope = slope;
    const fixedLevel = levelVariance;
    const fixedCovariance = covariance;
    const fixedSlope = slopeVariance;
    for (let phase = 0; phase < 3; phase++) {
      const at = 3 * s + phase;
      level += contrastAt(contrasts, s, phase, 0) / 3;
      slope += contrastSlope(contrasts, s, phase) / 3;
      // Offsets of the phases are a matter of their own level, already in the event's; only ageing adds doubt.
      slopeVariance += contrasts.slopeVariance[at]! / 9;
      covariance += contrasts.covariance[at]! / 9;
      if (contrasts.slopeVariance[at]! > 0) levelVariance += contrasts.levelVariance[at]! / 9;
    }
    const from = s * posteriorParts;
    for (let k = from + 1; k < from + ways; k++) {
      parts.level[k]! += level;
      parts.slope[k]! += slope;
      parts.levelVariance[k]! += levelVariance;
      parts.covariance[k]! += covariance;
      parts.slopeVariance[k]! += slopeVariance;
    }
    // The ordinary way comes apart: no phase on its own, or one. A mean of the two would hide the rarer, faster one.
    const without = from;
    const withOwn = from + ways;
    const { pOwn, own } = contrasts;
    parts.weight[withOwn] = parts.weight[without]! * pOwn[s]!;
    parts.weight[without]! *= 1 - pOwn[s]!;
    parts.level[withOwn] = parts.level[without]! + commonLevel + own.level[s]!;
    parts.slope[withOwn] = parts.slope[without]! + commonSlope + own.slope[s]!;
    parts.levelVariance[withOwn] = parts.levelVariance[without]! + fixedLevel + own.levelVariance[s]!;
    parts.covariance[withOwn] = parts.covariance[without]! + fixedCovariance + own.covariance[s]!;
    parts.slopeVariance[withOwn] = parts.slopeVariance[without]! + fixedSlope + own.slopeVariance[s]!;
    parts.level[without]! += commonLevel;
    parts.slope[without]! += commonSlope;
    parts.levelVariance[without]! += fixedLevel;
    parts.covariance[without]! += fixedCovariance;
    parts.slopeVariance[without]! += fixedSlope;
  }
  return { parts: posteriorParts, ...parts };
}
