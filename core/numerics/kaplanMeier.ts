/** The share still alive just after each age at which a spell ended; entry `i` of every column is one such age. */
export interface SurvivalCurve {
  readonly age: Float64Array;
  readonly atRisk: Int32Array;
  readonly events: Int32Array;
  readonly cutOff: Int32Array;
  readonly survival: Float64Array;
  /** Greenwood's standard error of `survival`; NaN once the curve has reached 0. */
  readonly standardError: Float64Array;
}

/**
 * The Kaplan–Meier curve. A spell is at risk at every age over its entry and up to its exit, so late entry
 * (left truncation) and lives in several spells are allowed for. Empty columns for no spells.
 * Source: E. L. Kaplan and P. Meier, JASA 53 (1958) 457; errors: M. Greenwood (1926). Cost: n ln n.
 */
export function kaplanMeier(
  entry: ArrayLike<number>,
  exit: ArrayLike<number>,
  event: ArrayLike<number>,
): SurvivalCurve {
  const spells = exit.length;
  const entries = Float64Array.from(entry).sort();
  const order = Int32Array.from({ length: spells }, (_, i) => i).sort((a, b) => exit[a]! - exit[b]!);
  const ages = new Set(Float64Array.from(exit)).size;
  const curve = {
    age: new Float64Array(ages),
    atRisk: new Int32Array(ages),
    events: new Int32Array(ages),
    cutOff: new Int32Array(ages),
    survival: new Float64Array(ages),
    standardError: new Float64Array(ages),
  };
  let survival = 1;
  let greenwood = 0;
  let entered = 0;
  let gone = 0;
  for (let k = 0; k < ages; k++) {
    const age = exit[order[gone]!]!;
    while (entered < spells && entries[entered]! < age) entered++;
    const atRisk = entered - gone;
    let events = 0;
    let ended = 0;
    for (; gone < spells && exit[order[gone]!] === age; gone++, ended++) if (event[order[gone]!]! > 0) events++;
    survival *= (atRisk - events) / atRisk;
    if (events > 0) greenwood += events / (atRisk * (atRisk - events));
    curve.age[k] = age;
    curve.atRisk[k] = atRisk;
    curve.events[k] = events;
    curve.cutOff[k] = ended - events;
    curve.survival[k] = survival;
    curve.standardError[k] = survival * Math.sqrt(greenwood);
  }
  return curve;
}
