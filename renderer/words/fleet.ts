import type { OutputOf } from '../../core/contract/asks/index.ts';
import { yearOf } from './dates.ts';
import { count, whole } from './numbers.ts';
import { type Sentence, strong } from './sentence.ts';
import { routeLength, type UnitSystem } from './units.ts';

/** The sentence that opens the fleet's page. */
export function fleetOpening(info: OutputOf<'fleet.info'>, units: UnitSystem): Sentence {
  const { counts } = info;
  if (counts.segments === 0) return ['This fleet is empty.'];
  const retired = counts.segments - info.segmentsInService;
  const tested =
    counts.testEvents === 0
      ? ' None has been tested yet.'
      : ` They were tested ${count(counts.testEvents, 'time')}${
          info.firstTestOn && info.lastTestOn ? ` from ${yearOf(info.firstTestOn)} to ${yearOf(info.lastTestOn)}` : ''
        }, in ${count(counts.readings, 'reading')}; ${count(counts.failures, 'failure')} and ${count(counts.interventions, 'intervention')} are on record.`;
  return [
    strong(count(info.segmentsInService, 'segment')),
    ` of cable in service, ${routeLength(info.lengthKm, units)}, on ${count(counts.feeders, 'feeder')} of ${count(counts.substations, 'substation')}${retired === 0 ? '' : `; ${whole(retired)} more retired`}.`,
    tested,
  ];
}
