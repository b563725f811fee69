import { failureRates, ratePer100Km } from '../../trade/failure-rates.ts';
import { sourceWords } from '../../trade/source.ts';

/** A normal distribution that stands in for what the fleet's own failures cannot tell yet. */
export interface PriorBelief {
  readonly mean: number;
  readonly sd: number;
  readonly source: string;
}

/** The age, in years, at which the intercept speaks: H(25 years) of one kilometre of one conductor. */
export const referenceAgeYears = 25;

const survey = failureRates.find((row) => row.population.includes('median of 19 utilities'))!;
const ratePerConductorKm = ratePer100Km(survey)! / 100;
const shape = 3;

const ours = 'our assumption: no published relation was found; the fleet’s own failures replace it';

/**
 * Used in full under ten failures. The published rates themselves run from 0.7 to 87 per 100 conductor-miles, so the
 * spread is wide: a fleet that has hardly failed in twenty years must be heard.
 */
export const publishedPrior = {
  intercept: {
    mean: Math.log((ratePerConductorKm * referenceAgeYears) / shape),
    sd: 1.2,
    source: `${survey.value} failures ${survey.unit} (${survey.population}): ${sourceWords(survey.source)}; taken as the rate at 25 years`,
  },
  lnShape: {
    mean: Math.log(shape),
    sd: 0.4,
    source: 'Weibull shape 2 to 6 for ageing extruded cable, 1 to 3 for joints; from memory, unverified',
  },
  family: {
    mean: 0,
    sd: 1,
    source: 'published rates disagree about which insulation fails more, so no family is favoured beforehand',
  },
  lnConductorKm: { mean: 1, sd: 0.15, source: 'twice the cable, twice the failures' },
  splices: { mean: 0, sd: 0.5, source: ours },
  growth: { mean: Math.log(1.3), sd: 0.3, source: ours },
  level: { mean: Math.log(1.5), sd: 0.4, source: ours },
} satisfies Record<string, PriorBelief>;

const weak = 'weak prior: holds a coefficient that few failures cannot, gives way to more';

/** Used between ten failures and ten for each coefficient. */
export const weakPrior = {
  intercept: { mean: 0, sd: Number.POSITIVE_INFINITY, source: 'the fleet alone' },
  lnShape: { mean: Math.log(shape), sd: 0.7, source: weak },
  family: { mean: 0, sd: 1, source: weak },
  lnConductorKm: { mean: 1, sd: 0.5, source: weak },
  splices: { mean: 0, sd: 1, source: weak },
  growth: { mean: 0, sd: 1, source: weak },
  level: { mean: 0, sd: 1, source: weak },
} satisfies Record<keyof typeof publishedPrior, PriorBelief>;
