import { leastSquaresSmall } from '../numerics/leastSquaresSmall.ts';

/** What an unknown insulation temperature is taken to be. */
export interface SeasonalTemperature {
  /** °C on a day with this ambient temperature (NaN where unknown). */
  readonly at: (day: number, ambientC: number) => number;
  /** Variance of the guess, °C². */
  readonly variance: (ambientC: number) => number;
  /** How the guess is made, for people to read. */
  readonly basis: string;
}

const enough = 24;
/** Buried cable follows the air slowly: this much of doubt where only the air is known. Common practice, no source. */
const ambientVariance = 16;
const blindVariance = 36;
const blindC = 15;
const yearDays = 365.25;

/**
 * The fleet's own seasons: a yearly sine through the known insulation temperatures, sharpened by the ambient
 * temperature where enough tests know both. Falls back to the ambient temperature, then to 15 °C.
 */
export function fitSeason(
  day: ArrayLike<number>,
  insulationC: ArrayLike<number>,
  ambientC: ArrayLike<number>,
): SeasonalTemperature {
  const season = leastSquaresSmall(3);
  const air = leastSquaresSmall(4);
  const row = new Float64Array(4);
  for (let i = 0; i < day.length; i++) {
    const temperature = insulationC[i]!;
    if (Number.isNaN(temperature)) continue;
    const angle = (2 * Math.PI * day[i]!) / yearDays;
    row[0] = 1;
    row[1] = Math.cos(angle);
    row[2] = Math.sin(angle);
    season.add(row, temperature);
    if (Number.isNaN(ambientC[i]!)) continue;
    row[3] = ambientC[i]!;
    air.add(row, temperature);
  }
  const sine = season.count() >= enough ? season.solve() : undefined;
  const withAir = air.count() >= enough ? air.solve() : undefined;
  const sineAt = (day: number) => {
    const angle = (2 * Math.PI * day) / yearDays;
    return sine!.coefficients[0]! + sine!.coefficients[1]! * Math.cos(angle) + sine!.coefficients[2]! * Math.sin(angle);
  };
  const airAt = (day: number, ambient: number) => {
    const angle = (2 * Math.PI * day) / yearDays;
    const c = withAir!.coefficients;
    return c[0]! + c[1]! * Math.cos(angle) + c[2]! * Math.sin(angle) + c[3]! * ambient;
  };
  return {
    at(day, ambient) {
      if (withAir && !Number.isNaN(ambient)) return airAt(day, ambient);
      if (sine) return sineAt(day);
      return Number.isNaN(ambient) ? blindC : ambient;
    },
    variance(ambient) {
      if (withAir && !Number.isNaN(ambient)) return withAir.residualVariance;
      if (sine) return sine.residualVariance;
      return Number.isNaN(ambient) ? blindVariance : ambientVariance;
    },
    basis: withAir
      ? 'the season and the ambient temperature of the day, as this fleet’s own tests show them'
      : sine
        ? 'the season, as this fleet’s own tests show it'
        : 'the ambient temperature, or 15 °C where that is unknown too',
  };
}
