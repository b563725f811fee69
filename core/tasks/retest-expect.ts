import { refuse } from '../contract/problem.ts';
import type { Expectation } from '../contract/shapes/retest.ts';
import type { Phase } from '../contract/shapes/trade.ts';
import {
  conditionsShift,
  forecastReading,
  type PlannedAt,
  type ReadingSubject,
  readingQuantile,
} from '../growth/expectReading.ts';
import { dayOf, yearsApart } from './days.ts';
import type { Standings } from './standings.ts';

/** Beyond this share of readings one is far above what is expected: one in a hundred. */
export const farShare = 0.99;
export const phaseNames: readonly Phase[] = ['A', 'B', 'C'];

/** A segment of the kept standings as readings of it are foretold. */
export const subjectAt = (standings: Standings, i: number, lengthM: number): ReadingSubject => ({
  at: i,
  posterior: {
    parts: standings.parts,
    weight: standings.partWeight,
    level: standings.partLevel,
    slope: standings.partSlope,
    levelVariance: standings.partLevelVariance,
    covariance: standings.partCovariance,
    slopeVariance: standings.partSlopeVariance,
  },
  phases: { level: standings.phaseLevel, slope: standings.phaseSlope, variance: standings.phaseVariance },
  insulation: standings.insulation[i]!,
  lengthKm: lengthM / 1000,
  usualKv: standings.usualKv[i]!,
});

/** Further ahead nothing that is known today says what a cable would read. */
const foretoldYears = 50;

/** Refuses a day too far ahead to foretell a reading for. */
export function checkForetold(on: string, asOf: string): void {
  if (yearsApart(asOf, on) > foretoldYears)
    throw refuse('bad-input', `A reading can be foretold ${foretoldYears} years ahead at most; name an earlier day.`, {
      where: 'on',
    });
}

/** The insulation temperature that the fleet's own tests show for a day, °C to half a degree. */
export function seasonalC(standings: Standings, on: string): number {
  const day = ((dayOf(on) % 365.25) + 365.25) % 365.25;
  return Math.round(2 * standings.seasonC[Math.floor(day)]!) / 2;
}

/** Where a temperature that nobody measured comes from. */
export const seasonWords = ({ seasonC }: Standings): string =>
  seasonC.every((c) => c === seasonC[0])
    ? 'a plain assumption: too few insulation temperatures are on record to know the season'
    : 'the season, as this fleet’s own tests show it';

/** The test as it is planned, without its phase. */
export type PlannedTest = Omit<PlannedAt, 'phase'>;

/** What each phase should read, with the reading that stands for the limit at these conditions. */
export function expectations(
  standings: Standings,
  subject: ReadingSubject,
  phases: string,
  planned: PlannedTest | { readonly because: string },
): Expectation[] {
  return phaseNames
    .filter((phase) => phases.includes(phase))
    .map((phase) => {
      if ('because' in planned) return { phase, reading: { known: false, because: planned.because } };
      const at = { ...planned, phase: phaseNames.indexOf(phase) };
      const forecast = forecastReading(standings.reading, subject, at);
      if (!forecast.known) return { phase, reading: forecast };
      const limit = standings.limit[subject.at]!;
      const scale = planned.voltageKv * subject.lengthKm * Math.exp(conditionsShift(standings.reading, subject, at));
      return {
        phase,
        reading: {
          known: true,
          ua: {
            value: readingQuantile(forecast, 0.5),
            lo: readingQuantile(forecast, 0.05),
            hi: readingQuantile(forecast, 0.95),
          },
          farUa: readingQuantile(forecast, farShare),
          limitUa: Number.isNaN(limit) ? null : limit * scale,
        },
      };
    });
}
