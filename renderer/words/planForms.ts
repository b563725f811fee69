/** Sentences of the forms of Plan. */

export const approveAbout = 'An approved plan is locked. The ledger keeps who approved it, when, and why.';

export const planApproved = (name: string): string => `“${name}” is approved and locked.`;

export const keepAbout =
  'A kept plan stays as it was made, with its money figures and the revision of the fleet that it was made from.';

export const currencyAbout = 'It stands beside every sum, on screen and in print. No figure is converted.';

export const horizonFault = (years: number): string =>
  `Risk is counted over whole years, from the plan’s own ${years} up to 60.`;

export const planMaking = 'The plan is being made.';

export const whatIfMaking = 'Plans are being made under these terms.';

export const planRemaking = 'The plan is being made again.';

export const formerPlan = 'The former plan, until the new one is here:';

export const moveMaking = 'The plan is being made with this move, to see what it costs; the plan below stands.';

export const testsWaiting = 'Weighing what each test could change…';

export const otherTerms = (terms: string, start: number | undefined): string =>
  `The plan below was made on other terms: ${terms}${start === undefined ? '' : ` from ${start}`}.`;

export const termFaults = {
  budget: 'The budget of a year must be a sum of money, such as 2,500,000.',
  years: 'The plan spans 1 to 30 whole years.',
  start: 'The first year must be a calendar year.',
  discount: 'The discount rate lies between 0 and 30 %.',
  hazard: 'Failure rates may rise by −20 to 50 % a year beyond the fit.',
  crewKm: 'The crews’ kilometres a year must be above 0, or empty for no limit.',
} as const;

export const carryWords = {
  on: 'What a year leaves goes on to the next',
  lost: 'What a year leaves is lost',
} as const;
