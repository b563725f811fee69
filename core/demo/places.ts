/** Invented places of the Harrow Vale. */
export const substationPlaces = [
  { name: 'Old Wharf', region: 'old town' },
  { name: 'Harrow Mill', region: 'mill district' },
  { name: 'Vale Cross', region: 'upper vale' },
  { name: 'Kiln Bank', region: 'mill district' },
  { name: 'Ferry Meadow', region: 'valley estates' },
  { name: 'Quarry Head', region: 'upper vale' },
] as const;

export const streets = [
  'Mill Lane',
  'Tannery Row',
  'Quarry Hill',
  'Old Wharf',
  'Kiln Street',
  'Chapel Rise',
  'Weir Side',
  'Ropewalk',
  'Bleach Green',
  'Market Cross',
  'Fuller Street',
  'Dyehouse Lane',
  'Lock Keeper Way',
  'Heron Bank',
  'Orchard Terrace',
  'Sluice Road',
  'Carder Street',
  'Bobbin Yard',
  'Ferry Lane',
  'Granary Court',
  'Hollow Ash',
  'Long Meadow',
  'Foundry Row',
  'Cooper Lane',
  'Willow Beck',
  'Station Parade',
  'Lime Pits',
  'Shuttle Street',
  'Ridge View',
  'Saddler Row',
  'Vicar Field',
  'Packhorse Way',
  'Cinder Path',
  'Larkspur Close',
  'Barley Croft',
  'Stone Bridge',
  'Wool Hall',
  'Upper Vale Road',
  'Beacon Drive',
  'Hazel Grove',
  'Smithy Fold',
  'Teasel Court',
  'Warren Edge',
  'Millrace',
] as const;

/** Letters of a street for its vaults: 'Quarry Hill' is QH. */
export const initials = (street: string): string =>
  street
    .split(' ')
    .map((word) => word[0])
    .join('');
