import type { OutputOf, ParsedInputOf } from '../contract/asks/index.ts';
import { pExceedWithin } from '../forecast/crossing.ts';
import { forecastCaution } from '../forecast/failure/caution.ts';
import { counted } from '../report/counted.ts';
import { crossingOf, crossingWords } from './crossing-words.ts';
import { type Desk, today } from './desk.ts';
import { failureRisk } from './failure-risk.ts';
import { failureModelWords } from './failure-words.ts';
import { frameOf } from './frame.ts';
import { writeRows } from './out-file.ts';
import { levelPosteriorOf } from './posterior-of.ts';
import { standingsAsOf } from './standings.ts';

const three = (x: number) => Number(x.toPrecision(3));

/** Crossing and failure probabilities by year, for the fleet and for each segment. */
export function forecastList(desk: Desk, input: ParsedInputOf<'forecast.list'>): OutputOf<'forecast.list'> {
  const asOf = input.asOf ?? today(desk);
  const standings = standingsAsOf(desk, asOf);
  const frame = frameOf(desk.fleet);
  const risk = failureRisk(desk, asOf, input.years);
  const posterior = levelPosteriorOf(standings);
  const years = Array.from({ length: input.years }, (_, k) => k + 1);
  const exceed = (i: number) =>
    Number.isNaN(standings.limit[i]!) ? null : years.map((year) => pExceedWithin(posterior, i, year));
  const fail = (i: number) =>
    risk.forecast ? years.map((year) => risk.forecast!.probability[i * input.years + year - 1]!) : null;
  const exceeds = [...standings.order].map((i) => exceed(i));
  const written: string[] = [];
  if (input.csv) {
    const cell = (x: number | undefined) => (x === undefined || Number.isNaN(x) ? '' : x.toPrecision(6));
    const rows = function* () {
      yield ['segment_id', 'year', 'p_exceed', 'p_fail', 'p_fail_lo', 'p_fail_hi'];
      for (const [k, i] of standings.order.entries())
        for (const year of years) {
          const at = i * input.years + year - 1;
          yield [
            frame.rows[i]!.ownerId,
            String(standings.year + year),
            cell(exceeds[k]?.[year - 1]),
            cell(risk.forecast?.probability[at]),
            cell(risk.forecast?.low[at]),
            cell(risk.forecast?.high[at]),
          ];
        }
    };
    writeRows(desk, input.csv, rows(), desk.checkStop);
    written.push(input.csv);
  }
  return {
    caution: forecastCaution,
    sentence: `Forecast as of ${asOf} for ${counted(standings.order.length)} segments: chance that the level exceeds the limit by the end of so many years, and chance of at least one failure in each year.`,
    fleetByYear: years.map((year) => ({
      year: standings.year + year,
      expectedAboveLimit: three(exceeds.reduce((sum, p) => sum + (p ? p[year - 1]! : 0), 0)),
      expectedFailures: risk.forecast
        ? three(
            standings.retired.reduce(
              (sum, retired, i) => (retired ? sum : sum + risk.forecast!.probability[i * input.years + year - 1]!),
              0,
            ),
          )
        : null,
    })),
    rows: [...standings.order.subarray(0, input.top)].map((i, k) => ({
      segment: frame.rows[i]!.ownerId,
      name: frame.rows[i]!.name,
      crosses: crossingWords(crossingOf(standings, i), standings.year),
      pExceed: (exceeds[k] ?? []).map(three),
      pFail: fail(i)?.map(three) ?? null,
    })),
    failureModel: risk.model.known
      ? failureModelWords(risk.model.report, risk)
      : [`No failure model: ${risk.model.because}.`],
    written,
  };
}
