export interface KnownThen {
  readonly day: number;
  /** Change of ln level per year, and ln level, as they could be known after the test of that day. */
  readonly growthPerYear: number;
  readonly logLevel: number;
}

export interface SlopeBelief {
  readonly mean: number;
  readonly sd: number;
  /** Spread of one test about its line. */
  readonly eventSd: number;
}

const yearDays = 365.25;

/**
 * What each test of a segment added, in order: a straight line through the tests so far of the present era, its slope
 * drawn towards the cohort's. Nothing later enters. `cuts` are the days of interventions, rising.
 */
export function knownThen(
  days: readonly number[],
  logLevels: readonly number[],
  cuts: readonly number[],
  belief: SlopeBelief,
): KnownThen[] {
  const known: KnownThen[] = [];
  let cut = 0;
  let n = 0;
  let meanT = 0;
  let meanY = 0;
  let sumTT = 0;
  let sumTY = 0;
  for (let k = 0; k < days.length; k++) {
    while (cut < cuts.length && cuts[cut]! <= days[k]!) {
      cut++;
      n = 0;
      meanT = 0;
      meanY = 0;
      sumTT = 0;
      sumTY = 0;
    }
    const t = days[k]! / yearDays;
    const y = logLevels[k]!;
    n++;
    const dt = t - meanT;
    meanT += dt / n;
    meanY += (y - meanY) / n;
    sumTT += dt * (t - meanT);
    sumTY += dt * (y - meanY);
    const own = 1 / belief.eventSd ** 2;
    const lent = 1 / belief.sd ** 2;
    const slope = (lent * belief.mean + own * sumTY) / (lent + own * sumTT);
    known.push({ day: days[k]!, growthPerYear: slope, logLevel: meanY + slope * (t - meanT) });
  }
  return known;
}
