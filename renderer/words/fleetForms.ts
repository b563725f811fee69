/** Sentences of the forms and the first page of Fleet. */

export const retireAbout = 'It leaves the ranking, the due list and the plan. Its tests stay, and it keeps its page.';

export const retiredWords = (name: string, on: string): string => `${name} is retired as of ${on}.`;

export const changeAbout = 'All of them or none, as one line of the ledger, which can be taken back as one.';

export const takenBack = 'Taken back. The ledger keeps both lines.';

export const addedWords = (name: string | undefined): string => `${name} is in the fleet.`;

export const fleetWaiting = 'Fitting growth for the first time…';

export const fleetInvites =
  'A fleet begins with an import: a fleet folder of plain CSV files, a spreadsheet, or the files of your tester. You see what would change before anything does.';

export const fastestCaption = 'Where leakage grows fastest. Hollow: the 90 % interval includes no growth.';
