import type { SegmentPage } from '../contract/asks/segment.ts';
import type { Brief } from '../contract/shapes/retest.ts';
import { threeFigures } from '../report/quantities.ts';
import { calibrationsOf } from '../store/segment.ts';
import type { Fleet } from '../store/sql.ts';
import { beforeTestCautions } from '../trade/cautions.ts';
import { dischargeSteps, earthingRule, earthingTimeMin } from '../trade/earthing.ts';
import { computedCapacitance, storedEnergyJ } from '../trade/geometry.ts';
import { type Source, sourceWords } from '../trade/source.ts';
import { nonlinearitySource, phaseAsymmetryReview } from '../trade/step-test.ts';
import type { VoltageAdvice } from '../trade/voltage-advice.ts';
import { dayOf, isoOf } from './days.ts';

const memory = (table: string): Source => ({
  document: 'field practice',
  edition: '',
  table,
  mark: 'from memory, unverified',
});
const practice: Source = { document: 'field practice', edition: '', table: '', mark: 'common practice, no source' };
const ours: Source = {
  document: 'this program',
  edition: '',
  table: 'interval of the expected reading',
  mark: 'computed',
};

/** When to stop, in the order in which it matters: what the current does comes before any voltage withstood. */
export function stopRules(expected: Brief['expected'], limitNsPerKm: number | null): Brief['stop'] {
  const rules = [
    {
      says: 'Leakage rises while the voltage stands still: stop at once, whatever voltage was withstood.',
      source: sourceWords(memory('ratio of early to late current under 1')),
    },
  ];
  const known = expected.flatMap(({ phase, reading }) => (reading.known ? [{ phase, reading }] : []));
  if (known.length > 0)
    rules.push({
      says: `A phase reads far above (${known.map(({ phase, reading }) => `${phase} over ${threeFigures(reading.farUa)} µA`).join(', ')}): look at terminations and unit first.`,
      source: sourceWords(ours),
    });
  if (expected.length > 1)
    rules.push({
      says: `Phases stand more than ${phaseAsymmetryReview.ratio} : 1 apart at the same voltage and time: look again.`,
      source: sourceWords(phaseAsymmetryReview.source),
    });
  const limits = known.flatMap(({ reading }) => (reading.limitUa === null ? [] : [reading.limitUa]));
  if (limits.length > 0 && limitNsPerKm !== null)
    rules.push({
      says: `A phase reads above ${threeFigures(limits[0]!)} µA, the limit of ${threeFigures(limitNsPerKm)} nS/km taken for each phase (the ranking holds the mean of the phases against it): not back in service without a decision.`,
      source: sourceWords({ ...ours, table: 'limit of the owner’s policy or our default' }),
    });
  rules.splice(1, 0, {
    says: 'Leakage grows out of proportion to the voltage from step to step: stop; it points to damage.',
    source: sourceWords(nonlinearitySource),
  });
  return rules;
}

/** Energy stored at the planned voltage, from the cable's dimensions. */
export function energyAt(page: SegmentPage, planned: Brief['planned']): Brief['energy'] {
  const capacitance = computedCapacitance({ ...page, lengthKm: page.lengthM / 1000 });
  if (!capacitance.known) return capacitance;
  const { nf, lowNf, highNf } = capacitance.value;
  if (!planned.voltageKv.known) return { known: false, because: 'no test voltage' };
  const voltageKv = planned.voltageKv.value;
  return {
    known: true,
    capacitanceNf: nf,
    lowNf,
    highNf,
    voltageKv,
    // With the highest permittivity of the family: what a person may meet.
    energyJ: storedEnergyJ(highNf, voltageKv),
  };
}

export function earthingSaid(planned: Brief['planned']): Brief['earthing'] {
  const minutes = earthingTimeMin(planned.dwellMin.value);
  return {
    minutes,
    says: `Earth solidly for at least ${threeFigures(minutes)} min, ${earthingRule.timesApplication} × the ${threeFigures(planned.dwellMin.value)} min of voltage; count the ramp and every repeat as well.`,
    source: sourceWords(earthingRule.source),
  };
}

export const dischargeSaid = (): Brief['discharge'] =>
  dischargeSteps.map((step) => ({ says: step.says, source: sourceWords(step.source) }));

/** Cautions about the voltage on this cable; what is done before and after stands in the checklist and the discharge. */
export const cautionsSaid = (advice: VoltageAdvice): Brief['cautions'] =>
  advice.cautions.map((caution) => ({ says: caution.says, source: sourceWords(caution.source) }));

/** A fault that nothing on record has mended; its caution comes before all others. */
export function faultSaid({ tests: [last], failures, interventions }: SegmentPage): Brief['cautions'] {
  const broke = last?.readings.some((reading) => reading.outcome === 'breakdown') ? [last.testedOn] : [];
  const failed = failures.map((failure) => failure.failedOn).filter((day) => day >= (last?.testedOn ?? ''));
  const day = [...broke, ...failed].sort().at(-1);
  if (day === undefined || interventions.some((done) => done.doneOn >= day)) return [];
  return [
    {
      says: `Broke down or failed on ${day}, and no repair since is on record: find the fault, mend it and record that before any test voltage goes on.`,
      source: sourceWords(practice),
    },
  ];
}

/** Short names of the rules that hold before anyone connects a test set, in their order. */
const beforeNames = ['Isolation', 'Earthing', 'Apparatus', 'Barriers', 'Last look'];

/** What to have, to do and to write down before the voltage goes on. */
export function checklist(fleet: Fleet, page: SegmentPage, on: string): Brief['checklist'] {
  return [
    { item: 'Instrument', says: instrumentWords(fleet, page, on), source: '' },
    {
      item: 'Weather',
      says: 'Dirty or wet terminations leak: clean, dry or guard them.',
      source: sourceWords(practice),
    },
    ...beforeTestCautions.map((caution, at) => ({
      item: beforeNames[at] ?? 'Also',
      says: caution.says,
      source: sourceWords(caution.source),
    })),
    {
      item: 'Record',
      says: 'Insulation and air temperature, humidity; voltage, time and current of every phase with its unit; trip setting; earth on and off times.',
      source: sourceWords(practice),
    },
  ];
}

function instrumentWords(fleet: Fleet, page: SegmentPage, on: string): string {
  const instrument = page.tests.find((test) => test.instrument !== null)?.instrument;
  if (!instrument) return 'Serial and calibration due date; none is on record for this segment.';
  return `Last used here ${instrument.name}: ${calibrationWords(fleet, instrument.id, on).says}.`;
}

/** What stands of an instrument's calibration on a day; without a due day on record it is taken to hold a year. */
export function calibrationWords(fleet: Fleet, instrumentId: string, on: string): { says: string; holds: boolean } {
  const last = calibrationsOf(fleet, instrumentId)
    .filter((span) => span.calibratedOn <= on)
    .at(-1);
  if (!last) return { says: 'no calibration on record', holds: false };
  const due = last.dueOn ?? isoOf(dayOf(last.calibratedOn) + 365);
  return on <= due
    ? { says: `calibration due ${due}`, holds: true }
    : { says: `calibration was due ${due}: out of calibration`, holds: false };
}
