import { normalCdf } from './normal.ts';

export type PowerLawProcess =
  | {
      readonly known: true;
      /** Expected events by time t: level · t^growth. Over 1, they come faster and faster. */
      readonly growth: number;
      readonly level: number;
      /** Mean time between events at the end of observation. */
      readonly timeBetween: number;
      /** Laplace's statistic: standard normal when the rate is constant; positive when it rises. */
      readonly laplace: number;
      /** Chance of a Laplace statistic at least as high were the rate constant. */
      readonly pRising: number;
    }
  | { readonly known: false; readonly because: string };

/**
 * Repeat events of something repaired each time, as a non-homogeneous Poisson process whose expected number is
 * level · t^growth, watched from 0 until `end`. The estimate of `growth` is the unbiased one, (r − 1) / Σ ln(end / t).
 * Source: NIST/SEMATECH e-Handbook of Statistical Methods, 8.4.5.2 and 8.2.3.4. Unknown under two events.
 */
export function powerLawProcess(times: ArrayLike<number>, end: number): PowerLawProcess {
  const events = times.length;
  let logs = 0;
  let sum = 0;
  for (let i = 0; i < events; i++) {
    if (!(times[i]! > 0 && times[i]! <= end)) return { known: false, because: 'an event outside the time watched' };
    logs += Math.log(end / times[i]!);
    sum += times[i]!;
  }
  if (events < 2 || logs === 0) return { known: false, because: 'fewer than two events' };
  const growth = (events - 1) / logs;
  const laplace = ((sum / events - end / 2) / end) * Math.sqrt(12 * events);
  return {
    known: true,
    growth,
    level: events / end ** growth,
    timeBetween: end / (events * growth),
    laplace,
    pRising: normalCdf(-laplace),
  };
}
