import type { ReplacedTest } from '../contract/asks/segment.ts';
import type { TestEventId } from '../contract/ids.ts';
import type { Phase } from '../contract/shapes/trade.ts';
import { readingsOfEvent } from '../store/records.ts';
import { replacedEventsOf } from '../store/segment.ts';
import type { Fleet } from '../store/sql.ts';

/** Tests of a segment that corrections took the place of, each with its readings as they were written. */
export function replacedTests(fleet: Fleet, segmentId: string): ReplacedTest[] {
  const events = replacedEventsOf(fleet, segmentId);
  const next = new Map(events.map(({ id, byId }) => [id, byId]));
  const standing = (id: string): string => {
    const by = next.get(id);
    return by === undefined ? id : standing(by);
  };
  return events.map(({ id, owner_id, tested_on, at, who, why }) => ({
    id: id as TestEventId,
    ownerId: owner_id,
    testedOn: tested_on,
    byId: standing(id) as TestEventId,
    at,
    who,
    why,
    readings: readingsOfEvent(fleet, id).map((reading) => ({
      phase: reading.phase as Phase,
      step: reading.step,
      voltageKv: reading.voltage_kv,
      dwellMin: reading.dwell_min,
      leakageUa: reading.leakage_ua,
      belowFloor: reading.below_floor === 1,
      insulationTempC: reading.insulation_temp_c,
      ambientTempC: reading.ambient_temp_c,
    })),
  }));
}
