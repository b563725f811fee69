/** Stored words as a person says them. */
const words: Readonly<Record<string, string>> = {
  dc_withstand: 'DC withstand',
  dc_step: 'DC step',
  insulation_resistance: 'insulation resistance',
  acceptance: 'acceptance',
  maintenance: 'maintenance',
  after_repair: 'after repair',
  withstood: 'withstood',
  breakdown: 'breakdown',
  stopped: 'stopped',
  section_replaced: 'section replaced',
  splice_added: 'splice added',
  splice_renewed: 'splice renewed',
  fluid_injected: 'fluid injected',
  termination_remade: 'termination remade',
  duct: 'in duct',
  direct_buried: 'direct buried',
  tray: 'on tray',
  submarine: 'submarine',
  taped: 'taped',
  heat_shrink: 'heat shrink',
  cold_shrink: 'cold shrink',
  premoulded: 'premoulded',
  transition: 'transition',
  Cu: 'copper',
  Al: 'aluminium',
};

export const inWords = (stored: string): string => words[stored] ?? stored.replaceAll('_', ' ');

/** 'the splice of 2013': what began an era, as the opening sentence names it. */
export function eraWords(kind: string, year: number): string {
  switch (kind) {
    case 'splice_added':
      return `the splice of ${year}`;
    case 'splice_renewed':
      return `the splice renewed in ${year}`;
    case 'section_replaced':
      return `a section was replaced in ${year}`;
    case 'fluid_injected':
      return `the injection of ${year}`;
    case 'termination_remade':
      return `the termination remade in ${year}`;
    default:
      return `the change of ${year} (${inWords(kind)})`;
  }
}
