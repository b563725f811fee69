/** What kind of fleet is simulated. Shares are of segments, events or readings, as named. */
export interface Regime {
  readonly name: string;
  readonly about: string;
  readonly eventsPerSegment: number;
  /** Segments that age fast all along. */
  readonly fastShare: number;
  /** Segments that bend upward from some year on. */
  readonly bentShare: number;
  /** Segments in which one phase ages on its own. */
  readonly singlePhaseShare: number;
  /** Share of those in which it began only in the last years. */
  readonly lateDefectShare: number;
  readonly eventSlipShare: number;
  readonly phaseSlipShare: number;
  readonly strayShare: number;
  readonly duplicateShare: number;
  readonly unknownTemperatureShare: number;
  readonly interventionShare: number;
  /** µA; the old instrument's floor and step. The new one's is a fifth of it. */
  readonly floorUa: number;
  /** sd of the error of a test day, ln. */
  readonly dayError: number;
  readonly phaseError: number;
  /** Student-t degrees of freedom of the day's error; 0 for normal. */
  readonly tails: number;
  /** Multiplies how steeply leakage rises with temperature and with voltage. */
  readonly temperatureScale: number;
  readonly voltageScale: number;
  /** Offset of the second instrument, ln. */
  readonly instrumentStep: number;
}

const plain: Regime = {
  name: 'plain',
  about: 'five tests a segment, straight ageing, clean records',
  eventsPerSegment: 5,
  fastShare: 0,
  bentShare: 0,
  singlePhaseShare: 0,
  lateDefectShare: 0,
  eventSlipShare: 0,
  phaseSlipShare: 0,
  strayShare: 0,
  duplicateShare: 0,
  unknownTemperatureShare: 0,
  interventionShare: 0,
  floorUa: 0.02,
  dayError: 0.18,
  phaseError: 0.1,
  tails: 0,
  temperatureScale: 1,
  voltageScale: 1,
  instrumentStep: 0,
};

const messy: Regime = {
  ...plain,
  name: 'messy',
  about: 'four tests, slips, strays, duplicates, unknown temperatures, interventions, fast agers',
  eventsPerSegment: 4,
  fastShare: 0.1,
  singlePhaseShare: 0.02,
  eventSlipShare: 0.005,
  phaseSlipShare: 0.001,
  strayShare: 0.01,
  duplicateShare: 0.01,
  unknownTemperatureShare: 0.15,
  interventionShare: 0.12,
  floorUa: 0.5,
};

/** Fleets on which the method is proved. Their laws are not the model's. */
export const regimes: readonly Regime[] = [
  plain,
  messy,
  { ...messy, name: 'sparse', about: 'as messy, with two tests a segment', eventsPerSegment: 2.2 },
  {
    ...messy,
    name: 'accelerating',
    about: 'one segment in ten bends upward',
    fastShare: 0.02,
    bentShare: 0.1,
  },
  {
    ...messy,
    name: 'single phase',
    about: 'one segment in eight has one phase ageing on its own, half of them only lately',
    fastShare: 0.03,
    singlePhaseShare: 0.12,
    lateDefectShare: 0.5,
  },
  { ...messy, name: 'under the floor', about: 'about a fifth of the readings under the floor', floorUa: 2 },
  {
    ...messy,
    name: 'late defects',
    about: 'bends and single-phase defects that begin in the last six years, heavy-tailed days',
    fastShare: 0.03,
    bentShare: 0.07,
    singlePhaseShare: 0.07,
    lateDefectShare: 1,
    tails: 5,
  },
  {
    ...messy,
    name: 'other laws',
    about: 'steeper temperature and voltage laws, an instrument that reads high, noisy days',
    temperatureScale: 1.35,
    voltageScale: 1.8,
    instrumentStep: 0.06,
    dayError: 0.25,
    unknownTemperatureShare: 0.3,
  },
];
