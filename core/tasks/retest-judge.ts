import type { OutputOf } from '../contract/asks/index.ts';
import { refuse } from '../contract/problem.ts';
import { conditionsShift, forecastReading, readingPlace } from '../growth/expectReading.ts';
import { updateGrowth } from '../growth/updateGrowth.ts';
import { threeFigures } from '../report/quantities.ts';
import { phaseAsymmetryReview } from '../trade/step-test.ts';
import { dayOf } from './days.ts';
import { today } from './desk.ts';
import { frameOf } from './frame.ts';
import { checkForetold, expectations, farShare, phaseNames, seasonalC, subjectAt } from './retest-expect.ts';
import { type Standings, standingsFor } from './standings.ts';
import type { Task } from './task.ts';
import { unrankedBecause } from './unranked.ts';

type Judged = OutputOf<'retest.judge'>;
type Verdict = (Judged['phases'][number]['verdict'] & { known: true })['says'];

const verdictAt = (place: number): Verdict => {
  if (place < 0.05) return 'below expected';
  if (place <= 0.95) return 'as expected';
  return place <= farShare ? 'above expected' : 'far above';
};

const basisWords =
  'Approximate: this segment’s level and growth are updated by these readings alone (Bayes’ rule), everything learned from the rest of the fleet stays as it was. Recording the test fits the whole fleet again.';

/** The rank a growth would have among the others as they stand. */
function rankWith(standings: Standings, i: number, growth: number): number {
  let rank = 1;
  for (const other of standings.order) if (other !== i && standings.growth[other]! > growth) rank++;
  return rank;
}

export const judgeTask: Task<'retest.judge'> = (desk, input) => {
  const frame = frameOf(desk.fleet);
  const i = frame.ordinalById.get(input.segmentId);
  if (i === undefined) throw refuse('not-found', 'There is no such segment in this fleet.', { where: 'segmentId' });
  const asOf = today(desk);
  const standings = standingsFor(desk, asOf);
  const subject = subjectAt(standings, i, frame.rows[i]!.lengthM);
  const on = input.on ?? asOf;
  checkForetold(on, asOf);
  const planned = {
    voltageKv: input.voltageKv,
    dwellMin: input.dwellMin,
    insulationTempC: input.tempC ?? seasonalC(standings, on),
    temperatureVariance: input.tempC === undefined ? standings.seasonSdC ** 2 : 0,
    day: dayOf(on),
  };
  const phases = input.readings.map((reading): Judged['phases'][number] => {
    const at = { ...planned, phase: phaseNames.indexOf(reading.phase) };
    const forecast = forecastReading(standings.reading, subject, at);
    if (!forecast.known) return { ...reading, verdict: forecast };
    const [expected] = expectations(standings, subject, reading.phase, planned);
    if (!expected?.reading.known) return { ...reading, verdict: { known: false, because: 'nothing to compare with' } };
    const place = readingPlace(forecast, reading.leakageUa);
    const shift = conditionsShift(standings.reading, subject, at);
    return {
      ...reading,
      verdict: {
        known: true,
        says: verdictAt(place),
        expectedUa: expected.reading.ua,
        farUa: expected.reading.farUa,
        placePct: 100 * place,
        nsPerKmAt20C: reading.leakageUa / (input.voltageKv * subject.lengthKm * Math.exp(shift)),
      },
    };
  });
  const sizes = input.readings.map((reading) => reading.leakageUa);
  const phaseRatio = sizes.length > 1 ? Math.max(...sizes) / Math.min(...sizes) : null;
  const ranked = standings.rank[i]! > 0;
  const before: Judged['before'] = ranked
    ? {
        known: true,
        rank: standings.rank[i]!,
        growthPctPerYr: { value: standings.growth[i]!, lo: standings.growthLo[i]!, hi: standings.growthHi[i]! },
        levelNsPerKm: { value: standings.level[i]!, lo: standings.levelLo[i]!, hi: standings.levelHi[i]! },
      }
    : { known: false, because: unrankedBecause(standings, i) };
  return {
    sentence: phases.map(phaseSentence).join(' '),
    phases,
    phaseRatio,
    stop: stopWords(phases, phaseRatio, standings.limit[i]!),
    before,
    after: ranked ? afterwards() : before,
    basis: basisWords,
  };

  function afterwards(): Judged['after'] {
    const taken = input.readings.map((reading) => ({
      ...planned,
      phase: phaseNames.indexOf(reading.phase),
      leakageUa: reading.leakageUa,
    }));
    const updated = updateGrowth(standings.reading, subject, taken);
    return {
      known: true,
      rank: rankWith(standings, i!, updated.growthPctPerYr),
      growthPctPerYr: { value: updated.growthPctPerYr, lo: updated.growthLo, hi: updated.growthHi },
      levelNsPerKm: { value: updated.levelNsPerKm, lo: updated.levelLo, hi: updated.levelHi },
    };
  }
};

function phaseSentence({ phase, leakageUa, verdict }: Judged['phases'][number]): string {
  if (!verdict.known) return `Phase ${phase}, ${threeFigures(leakageUa)} µA: ${verdict.because}.`;
  const { lo, hi } = verdict.expectedUa;
  return `Phase ${phase}, ${threeFigures(leakageUa)} µA: ${verdict.says} (90 % of such readings lie between ${threeFigures(lo)} and ${threeFigures(hi)} µA).`;
}

/** Why to stop and look before going on. */
function stopWords(phases: Judged['phases'], ratio: number | null, limitNsPerKm: number): string[] {
  const stop: string[] = [];
  for (const { phase, verdict } of phases) {
    if (!verdict.known) continue;
    if (verdict.says === 'far above')
      stop.push(
        `Phase ${phase} reads far above anything expected (over ${threeFigures(verdict.farUa)} µA, one reading in a hundred): stop, and look for a wet termination, a slip of units, or a fault.`,
      );
    if (verdict.nsPerKmAt20C > limitNsPerKm)
      stop.push(
        `Phase ${phase} lies above the limit of ${threeFigures(limitNsPerKm)} nS/km, taken for each phase; the ranking holds the mean of the phases against it.`,
      );
  }
  if (ratio !== null && ratio > phaseAsymmetryReview.ratio)
    stop.push(
      `The phases stand ${ratio.toFixed(1)} : 1 apart; beyond ${phaseAsymmetryReview.ratio} : 1 look again (${phaseAsymmetryReview.source.mark}).`,
    );
  return stop;
}
