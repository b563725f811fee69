import { INSTALLATIONS, INSULATIONS, type PlanInputs } from './inputs.ts';

/** Refuses inputs that do not fit together. Throws RangeError with what is wrong; a plan is never made from them. */
export function checkInputs(inputs: PlanInputs): void {
  const { segments, years, horizonYears: horizon } = inputs;
  const refuse = (why: string): never => {
    throw new RangeError(`plan inputs: ${why}`);
  };
  if (!Number.isInteger(years) || years < 1) refuse('years must be a whole number of at least 1');
  if (!Number.isInteger(horizon) || horizon < years) refuse('horizonYears must be a whole number of at least years');
  if (!(inputs.discountRate >= 0)) refuse('discountRate must be 0 or more');
  if (!(inputs.carryOverMax >= 0)) refuse('carryOverMax must be 0 or more');
  if (!(inputs.newCable.lifeYears > 0)) refuse('newCable.lifeYears must be above 0');
  if (inputs.newCable.failuresPerKmYear.length < horizon) refuse('newCable.failuresPerKmYear must cover horizonYears');
  if (inputs.budget.length < years || inputs.crewKm.length < years) refuse('budget and crewKm need an entry a year');
  for (let y = 0; y < years; y++) {
    if (!(inputs.budget[y]! >= 0) || inputs.budget[y] === Infinity) refuse('a budget must be 0 or more and finite');
    if (!(inputs.crewKm[y]! >= 0)) refuse('crewKm must be 0 or more');
  }
  for (const [name, column] of Object.entries(segments)) {
    if (name === 'count') continue;
    const length = name.startsWith('failureProbability') ? segments.count * horizon : segments.count;
    if ((column as Float64Array).length < length) refuse(`segments.${name} is shorter than ${length}`);
  }
  const seen = new Set<number>();
  for (let i = 0; i < segments.count; i++) {
    if (seen.has(segments.ordinal[i]!)) refuse(`segment ordinal ${segments.ordinal[i]} comes twice`);
    seen.add(segments.ordinal[i]!);
    if (!(segments.lengthM[i]! > 0) || segments.lengthM[i] === Infinity)
      refuse(`segments.lengthM[${i}] must be above 0`);
    if (segments.insulation[i]! >= INSULATIONS.length) refuse(`segments.insulation[${i}] is no code`);
    if (segments.installation[i]! >= INSTALLATIONS.length) refuse(`segments.installation[${i}] is no code`);
  }
  for (let k = 0; k < segments.count * horizon; k++) {
    if (!(segments.failureProbability[k]! >= 0 && segments.failureProbability[k]! <= 1)) {
      refuse(`segments.failureProbability[${k}] must lie from 0 to 1`);
    }
  }
  for (const wish of inputs.wishes)
    if (!seen.has(wish.segment)) refuse(`a wish names segment ${wish.segment}, which is not there`);
}
