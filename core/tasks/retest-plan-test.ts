import type { SegmentPage, TestRow } from '../contract/asks/segment.ts';
import type { Brief } from '../contract/shapes/retest.ts';
import { sourceWords } from '../trade/source.ts';
import { stepTestRules, stepVoltagesKv } from '../trade/step-test.ts';
import { testVoltageAdvice, type VoltageAdvice } from '../trade/voltage-advice.ts';
import { highestPublishedDcKv } from '../trade/voltage-ceiling.ts';
import { yearsApart } from './days.ts';
import { seasonalC, seasonWords } from './retest-expect.ts';
import type { Standings } from './standings.ts';

/** What the lead typed; the rest is filled in here, each value with where it comes from. */
export interface Typed {
  readonly voltageKv?: number | undefined;
  readonly dwellMin?: number | undefined;
  readonly tempC?: number | undefined;
}

/** A first test of a cable not yet in service is for acceptance; one after a failure or work done since the last is after repair. */
export function purposeOf(page: SegmentPage, on: string): Brief['purpose'] {
  const last = page.tests[0];
  if (!last && page.energisedOn !== null && page.energisedOn >= on) return 'acceptance';
  const since = last?.testedOn ?? '';
  const broke = last?.readings.some((reading) => reading.outcome === 'breakdown') ?? false;
  const worked =
    page.interventions.some((done) => done.doneOn > since) || page.failures.some((f) => f.failedOn >= since);
  return last && (broke || worked) ? 'after_repair' : 'maintenance';
}

/** The tables' word for this cable on the day. */
export const adviceFor = (page: SegmentPage, on: string, purpose: Brief['purpose']): VoltageAdvice =>
  testVoltageAdvice({
    ratedKv: page.ratedKv,
    insulationLevelPct: page.insulationLevelPct,
    insulation: page.insulation,
    ageYears: page.energisedOn === null ? null : Math.max(0, yearsApart(page.energisedOn, on)),
    purpose,
    joinedToExtruded: page.splices.some((splice) => splice.kind === 'transition' && splice.removedOn === null),
  });

const isHighVoltage = (test: TestRow) => test.method !== 'insulation_resistance';

/** The highest voltage of the last high-voltage test; null where there was none. */
export function lastVoltage(page: SegmentPage): { kv: number; on: string; dwellMin: number | null } | null {
  const last = page.tests.find(isHighVoltage);
  if (!last) return null;
  const kv = Math.max(...last.readings.map((reading) => reading.voltageKv));
  return { kv, on: last.testedOn, dwellMin: last.readings.find((reading) => reading.voltageKv === kv)!.dwellMin };
}

/** Voltage, dwell and temperature of the planned test. Where no direct voltage is advised none is filled in. */
export function plannedTest(
  page: SegmentPage,
  standings: Standings,
  advice: VoltageAdvice,
  typed: Typed,
  on: string,
): Brief['planned'] {
  const last = lastVoltage(page);
  return {
    voltageKv: voltage(),
    dwellMin: dwell(),
    tempC:
      typed.tempC === undefined
        ? { value: seasonalC(standings, on), from: seasonWords(standings) }
        : { value: typed.tempC, from: 'entered' },
    tempSdC: typed.tempC === undefined ? standings.seasonSdC : 0,
  };

  function voltage(): Brief['planned']['voltageKv'] {
    const ceiling = page.ratedKv === null ? Number.POSITIVE_INFINITY : highestPublishedDcKv(page.ratedKv);
    if (typed.voltageKv !== undefined && typed.voltageKv > ceiling)
      return {
        known: false,
        because: `${typed.voltageKv} kV is above every published DC test voltage of this class, even for new cable (${ceiling} kV); nothing is foretold for it`,
      };
    if (typed.voltageKv !== undefined)
      return { known: true, value: typed.voltageKv, from: enteredWords(typed.voltageKv) };
    if (advice.dc === 'not advised')
      return {
        known: false,
        because:
          'no direct voltage is advised on this cable; a reading is foretold only where the owner’s own procedure names a voltage',
      };
    if (last && last.kv <= advice.voltageKv)
      return { known: true, value: last.kv, from: `as in the test of ${last.on}, to keep readings comparable` };
    return { known: true, value: advice.voltageKv, from: advice.table };
  }

  function enteredWords(kv: number): string {
    if (advice.dc === 'not advised') return 'entered; no direct voltage is advised on this cable';
    return kv > advice.voltageKv ? `entered; above the ${advice.voltageKv} kV of ${advice.table}` : 'entered';
  }

  function dwell(): Brief['planned']['dwellMin'] {
    if (typed.dwellMin !== undefined) return { value: typed.dwellMin, from: 'entered' };
    const asBefore = last !== null && (advice.dc === 'not advised' || last.kv <= advice.voltageKv);
    if (asBefore && last.dwellMin !== null) return { value: last.dwellMin, from: `as in the test of ${last.on}` };
    if (advice.dc === 'advised' && advice.duration.known) return { value: advice.duration.minutes, from: advice.table };
    return { value: standings.reading.usualDwellMin, from: 'the usual dwell of this fleet' };
  }
}

/** How the voltage is brought up, by the steps of the guide specification; none where no direct voltage is advised. */
export function rampSaid(planned: Brief['planned'], ratedKv: number | null, advised: boolean): Brief['ramp'] {
  const source = sourceWords(stepTestRules.source);
  const readings = `read at full voltage after ${stepTestRules.readAtFullVoltageS.join(' and ')} s and each minute for ${planned.dwellMin.value} min`;
  if (!planned.voltageKv.known)
    return {
      says: 'No direct voltage is named, so no ramp is. Other methods have their own in their standards.',
      source: '',
    };
  if (!advised)
    return {
      says: `${planned.voltageKv.value} kV was entered, it is not advised; only the owner’s own procedure and the cable’s maker could say how it is brought up.`,
      source: '',
    };
  if (ratedKv === null)
    return { says: `${stepTestRules.says[0]} Let the current settle equally long at each; ${readings}.`, source };
  const steps = stepVoltagesKv(planned.voltageKv.value, ratedKv);
  return {
    says: `Raise in ${steps.length} equal steps of ${Number(steps[0]!.toPrecision(3))} kV, let the current settle equally long at each; ${readings}.`,
    source,
  };
}
