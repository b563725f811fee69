export const placeNames = {
  fleet: 'Fleet',
  ranking: 'Ranking',
  plan: 'Plan',
  retests: 'Retests',
  evidence: 'Evidence',
  import: 'Import',
} as const;

export const themeNames = {
  system: 'As the system',
  light: 'Paper',
  dark: 'Slate',
  contrast: 'High contrast',
} as const;

export const unitNames = {
  metric: 'Metric: m, km, °C, mm²',
  us: 'US customary: ft, kft, °F, AWG',
} as const;

export const unitNote =
  'Specific leakage stays in nS/km in both, as policies and files carry it: one number, one value.';

/** The sheet of keys, by where they work. */
export const shortcuts: readonly { readonly where: string; readonly keys: readonly (readonly [string, string])[] }[] = [
  {
    where: 'Everywhere',
    keys: [
      ['Ctrl K', 'find a segment, feeder or splice'],
      ['Alt 1 … 6', 'go to one of the six places'],
      ['Alt ←, Alt →', 'back and forward'],
      ['Ctrl Z', 'undo, while the foot of the window offers it'],
      ['Ctrl P', 'print the page'],
      ['Ctrl +, Ctrl −', 'larger type, smaller type'],
      ['?', 'this sheet'],
    ],
  },
  {
    where: 'In the tree',
    keys: [
      ['↑ ↓', 'previous, next'],
      ['→ ←', 'open and close; step in and out'],
      ['Home, End', 'first, last'],
      ['letters', 'jump to a name that begins with them'],
      ['*', 'open every branch beside this one'],
      ['Enter', 'open the segment’s page'],
      ['/', 'narrow the tree'],
      ['Space, Ctrl click', 'choose a segment, or all of a branch'],
      ['Shift ↑ ↓, Ctrl A', 'choose a range; all that are shown'],
      ['Esc', 'drop the choice; then show all'],
    ],
  },
  {
    where: 'On a segment’s page',
    keys: [
      ['B', 'its retest brief'],
      ['E', 'edit what is known of the cable'],
      ['Enter, Esc', 'save a field; leave it as it was'],
    ],
  },
  {
    where: 'In a long table',
    keys: [
      ['↑ ↓', 'previous, next'],
      ['Page ↑, Page ↓', 'a screen at a time'],
      ['Home, End', 'first, last'],
      ['Enter', 'open the row'],
      ['Space, Ctrl click', 'choose the row'],
      ['Shift ↑ ↓', 'choose a range'],
    ],
  },
  {
    where: 'Among findings',
    keys: [
      ['↑ ↓', 'previous, next finding'],
      ['Space', 'mark the finding'],
      ['A, D', 'accept or dismiss those marked'],
    ],
  },
  {
    where: 'On a retest brief',
    keys: [
      ['V, C', 'the brief’s voltage; its temperature'],
      ['J', 'type a reading, to have it judged'],
      ['P', 'the sheet as PDF'],
      ['T, W', 'record a test; record work done'],
    ],
  },
];

export const newFleetAbout = 'One file holds everything: cables, tests, plans and the ledger of every change.';

export const nothingCalledSo = 'Nothing is called so. Try part of a name, or the owner’s id.';

export const welcomeWords =
  'Every high-voltage test of every cable you own, remembered, and turned into the three answers you need: what is getting worse and how sure that is, what to renew first, and what to expect at the next test.';

export const welcomeCaution =
  'High voltage kills. This program keeps records and supports planning; it is no switching order and no permit. Local law, the utility’s safety rules and licensed, qualified persons decide whether and how a test is done.';
