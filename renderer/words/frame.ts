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
      ['Ctrl Z', 'take back what the foot of the window offers'],
      ['Ctrl P', 'print the page'],
      ['Ctrl +, Ctrl −', 'larger, smaller'],
      ['?', 'this sheet'],
    ],
  },
  {
    where: 'In the tree',
    keys: [
      ['↑ ↓', 'walk'],
      ['→ ←', 'open and close; step in and out'],
      ['Home, End', 'first, last'],
      ['letters', 'go to the name that begins so'],
      ['*', 'open the branches beside this one'],
      ['Enter', 'open the segment’s page'],
      ['/', 'narrow the tree'],
      ['Space, Ctrl click', 'choose a segment, or all of a branch'],
      ['Shift ↑ ↓, Ctrl A', 'choose a span; all that are left'],
      ['Esc', 'let the chosen go; then show all'],
    ],
  },
  {
    where: 'On a segment’s page',
    keys: [
      ['B', 'its retest brief'],
      ['E', 'edit what is known of the cable'],
      ['Enter, Esc', 'save a field, leave it'],
    ],
  },
  {
    where: 'In a long table',
    keys: [
      ['↑ ↓', 'walk'],
      ['Page ↑, Page ↓', 'a screen at a time'],
      ['Home, End', 'first, last'],
      ['Enter', 'open the row'],
      ['Space, Ctrl click', 'choose the row'],
      ['Shift ↑ ↓', 'choose a span'],
    ],
  },
  {
    where: 'Among findings',
    keys: [
      ['↑ ↓', 'walk from mark to mark'],
      ['Space', 'mark the finding'],
      ['A, D', 'accept or dismiss those marked'],
    ],
  },
  {
    where: 'On a retest brief',
    keys: [
      ['V, C', 'the brief’s voltage; its temperature'],
      ['J', 'a reading, to be judged'],
      ['P', 'the sheet as PDF'],
      ['T, W', 'record a test; record work done'],
    ],
  },
];
