import type { PlanCosts } from './inputs.ts';

/** Costs a plan starts with until the owner sets their own. Currency: US dollars. Each has its line in COST_SOURCES. */
export const DEFAULT_COSTS: PlanCosts = {
  replacementPerM: { duct: 330, direct_buried: 500, tray: 260, submarine: 1500 },
  replacementPerSplice: 3500,
  mobilisation: 15000,
  repairPerFailure: 20000,
  perCustomerHour: 150,
  perKwhUnserved: 20,
  interruptionBasis: 'customer-hours',
  meanKwPerPeakKva: 0.5,
  criticalMultiplier: 3,
  restorationHoursWithAlternate: 1.5,
  restorationHoursWithout: 8,
  injectionPerM: 100,
  injectionHazardFactor: 0.35,
  injectionEffectYears: 20,
  renewalPerSplice: 5500,
  spliceFailureShare: 0.4,
  renewalHazardFactor: 0.3,
  testPerCrewDay: 3500,
  crewDaysPerTest: 0.5,
};

/** Where each default comes from. 'owner to set' means that no source is claimed and the figure is only a start. */
export const COST_SOURCES: Readonly<Record<keyof PlanCosts, string>> = {
  replacementPerM: 'owner to set; order of magnitude only, no source',
  replacementPerSplice: 'owner to set; order of magnitude only, no source',
  mobilisation: 'owner to set; order of magnitude only, no source',
  repairPerFailure: 'owner to set; order of magnitude only, no source',
  perCustomerHour:
    'owner to set; the one-hour figures of LBNL-6941E (2015) weighted 88 % residential, 11.5 % small business, 0.5 % large, from memory, unverified',
  perKwhUnserved:
    'owner to set; near the figure for large business customers in LBNL-6941E (2015), from memory, unverified',
  interruptionBasis: 'owner to set; one price of an interruption at a time avoids counting it twice',
  meanKwPerPeakKva: 'owner to set; load factor about 0.55 times power factor about 0.9, common practice, no source',
  criticalMultiplier: 'owner to set; no source',
  restorationHoursWithAlternate: 'owner to set; switching by hand, common practice, no source',
  restorationHoursWithout: 'owner to set; locating and one repair, common practice, no source',
  injectionPerM:
    'owner to set; trade press gives about 33 a metre (T&D World, 15 July 2020: USD 80,000 for nearly 1.5 miles) to a third of replacement',
  injectionHazardFactor: 'owner to set; no independent source, makers claim more',
  injectionEffectYears:
    'owner to set; trade press speaks of 20 to 40 years (T&D World, 2020 and 2021), the low end is taken',
  renewalPerSplice: 'owner to set; order of magnitude only, no source',
  spliceFailureShare: 'owner to set from own failure records; no source',
  renewalHazardFactor: 'owner to set; no source',
  testPerCrewDay: 'owner to set; no source',
  crewDaysPerTest: 'owner to set; two segments a day, common practice, no source',
};
