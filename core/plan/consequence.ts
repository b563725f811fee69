import type { PlanCosts, SegmentColumns } from './inputs.ts';
import { type Known, known, unknown } from './known.ts';

/** What one failure of one segment costs, part by part, in the currency of the costs. */
export interface Consequence {
  readonly repair: Known;
  /** Customers without supply × hours × price of a customer-hour. */
  readonly customers: Known;
  /** Energy not served × price of a kWh. */
  readonly energy: Known;
  /** What a critical customer adds to the two above. */
  readonly critical: Known;
  /** Sum of the known parts; `complete` is false where a part is unknown, and then the sum is too low. */
  readonly total: number;
  readonly complete: boolean;
}

/** IEEE Std 1366 counts of one failure: customers interrupted (CI) and customer minutes of interruption (CMI). */
export interface Interruption {
  readonly customersInterrupted: Known;
  readonly customerMinutes: Known;
}

/** Hours until customers are fed again after a failure of row `i`. */
export const restorationHours = (segments: SegmentColumns, i: number, costs: PlanCosts): number =>
  segments.alternateSupply[i] ? costs.restorationHoursWithAlternate : costs.restorationHoursWithout;

/** Cost of one failure of row `i`, itemised. Unknown customers or load leave their part unknown, never 0. */
export function consequenceOf(segments: SegmentColumns, i: number, costs: PlanCosts): Consequence {
  const hours = restorationHours(segments, i, costs);
  const customerCount = segments.customers[i]!;
  const peakKva = segments.peakLoadKva[i]!;
  const countsCustomers = costs.interruptionBasis !== 'energy';
  const countsEnergy = costs.interruptionBasis !== 'customer-hours';
  const customers = !countsCustomers
    ? known(0)
    : Number.isNaN(customerCount)
      ? unknown('number of customers is not recorded')
      : known(customerCount * hours * costs.perCustomerHour);
  const energy = !countsEnergy
    ? known(0)
    : Number.isNaN(peakKva)
      ? unknown('peak load is not recorded')
      : known(peakKva * costs.meanKwPerPeakKva * hours * costs.perKwhUnserved);
  const interruption = (customers.known ? customers.amount : 0) + (energy.known ? energy.amount : 0);
  const complete = customers.known && energy.known;
  const critical = !segments.criticalLoad[i]
    ? known(0)
    : complete
      ? known((costs.criticalMultiplier - 1) * interruption)
      : unknown('the interruption it multiplies is not fully known');
  const criticalAmount = segments.criticalLoad[i] ? (costs.criticalMultiplier - 1) * interruption : 0;
  return {
    repair: known(costs.repairPerFailure),
    customers,
    energy,
    critical,
    total: costs.repairPerFailure + interruption + criticalAmount,
    complete,
  };
}

/**
 * CI and CMI of one failure of row `i`. Source: IEEE Std 1366 definitions: CI counts the customers interrupted by an
 * event, CMI sums their minutes; SAIFI = ΣCI / customers served, SAIDI = ΣCMI / customers served.
 */
export function interruptionOf(segments: SegmentColumns, i: number, costs: PlanCosts): Interruption {
  const customers = segments.customers[i]!;
  if (Number.isNaN(customers)) {
    const because = 'number of customers is not recorded';
    return { customersInterrupted: unknown(because), customerMinutes: unknown(because) };
  }
  return {
    customersInterrupted: known(customers),
    customerMinutes: known(customers * restorationHours(segments, i, costs) * 60),
  };
}

/** System average interruption frequency index: interruptions per customer served. IEEE Std 1366. */
export const saifi = (customersInterrupted: number, customersServed: number): Known =>
  customersServed > 0 ? known(customersInterrupted / customersServed) : unknown('customers served is not set');

/** System average interruption duration index: minutes per customer served. IEEE Std 1366. */
export const saidiMinutes = (customerMinutes: number, customersServed: number): Known =>
  customersServed > 0 ? known(customerMinutes / customersServed) : unknown('customers served is not set');
