import { type Field, phaseSets, segment } from './field.ts';

const insulations: NonNullable<Field['values']> = [
  [/^(?:tr-?xlpe|wtr-?xlpe|tree.?retardant.*)$/i, 'TR-XLPE'],
  [/^(?:xlpe|xlp|vpe|2x.*|cross.?linked.*)$/i, 'XLPE'],
  [/^(?:hmwpe|hmw|hmpe|pe|ldpe|polyethylene)$/i, 'HMWPE'],
  [/^(?:epr|hepr|rubber|ethylene.*)$/i, 'EPR'],
  [/^(?:pilc|paper|paper.?lead|papier.*|oil.?paper|mind|pilca)$/i, 'PILC'],
  [/^pvc$/i, 'PVC'],
  [/^(?:other|unknown|mixed)$/i, 'other'],
];
const materials: NonNullable<Field['values']> = [
  [/^(?:cu|copper|kupfer)$/i, 'Cu'],
  [/^(?:al|alu|aluminum|aluminium)$/i, 'Al'],
];
const yesNo: NonNullable<Field['values']> = [
  [/^(?:y|yes|true|1|x|ja)$/i, 'yes'],
  [/^(?:n|no|false|0|nein)$/i, 'no'],
];
const length = ['m', 'km', 'ft', 'kft', 'mi'];

export const segmentFields: readonly Field[] = [
  {
    ...segment,
    says: 'the owner’s id of the segment',
    kind: 'id',
    strong:
      /^(?:(?:cable|segment|section|asset|kabel)(?: ?(?:id|no|nr|number|nummer|code|tag|#))|segment|cable|kabelnummer|id|tag)$/i,
  },
  {
    field: 'name',
    says: 'its name',
    kind: 'text',
    strong: /\b(?:name|description|bezeichnung|route|designation)\b/i,
  },
  { field: 'from_point', says: 'where it begins', kind: 'text', strong: /^(?:from|von|start|origin|source)\b/i },
  { field: 'to_point', says: 'where it ends', kind: 'text', strong: /^(?:to|nach|end|destination)\b/i },
  {
    field: 'feeder_id',
    says: 'its feeder, by id or name',
    kind: 'text',
    strong: /\b(?:feeder|abgang|speiseleitung)\b/i,
    weak: /\bcircuit\b/i,
  },
  {
    field: 'substation_id',
    says: 'the substation, by id or name',
    kind: 'text',
    strong: /\b(?:sub ?station|station|umspannwerk|plant)\b/i,
  },
  {
    field: 'length',
    says: 'its length',
    kind: 'number',
    strong: /\b(?:length|l[äa]nge|laenge|distance)\b/i,
    units: length,
  },
  {
    field: 'rated_kv',
    says: 'rated voltage',
    kind: 'number',
    strong: /\b(?:rated|class|nominal|nennspannung|system)\b.*|^kv$|^voltage/i,
    units: ['kV', 'V'],
    usual: 'kV',
  },
  {
    field: 'insulation_level_pct',
    says: 'insulation level',
    kind: 'number',
    strong: /insul\w* level|level ?%|% ?level/i,
    units: ['%'],
    usual: '%',
  },
  {
    field: 'insulation',
    says: 'insulation family',
    kind: 'choice',
    strong: /\b(?:insulation|insul|dielectric|isolierung|isolation)\b/i,
    weak: /\btype\b/i,
    values: insulations,
    telling: true,
  },
  {
    field: 'conductor',
    says: 'conductor size',
    kind: 'conductor',
    strong: /\b(?:conductor|size|cross.?section|querschnitt|area|leiter)\b/i,
    units: ['mm2', 'kcmil', 'AWG'],
    usual: 'mm2',
  },
  {
    field: 'conductor_material',
    says: 'conductor material',
    kind: 'choice',
    strong: /\b(?:material|metal|leitermaterial|cu ?al)\b/i,
    values: materials,
    telling: true,
  },
  {
    field: 'conductor_diameter_mm',
    says: 'conductor diameter',
    kind: 'number',
    strong: /\bconductor\b.*\b(?:dia|diam|diameter|od)\b/i,
    units: ['mm', 'in', 'mil'],
  },
  {
    field: 'insulation_thickness_mm',
    says: 'insulation thickness',
    kind: 'number',
    strong: /\b(?:thickness|wall|wandst[äa]rke|insulation dicke)\b/i,
    units: ['mm', 'mil', 'in'],
  },
  {
    field: 'phases',
    says: 'phases it carries',
    kind: 'choice',
    strong: /\b(?:phases?|phasing|phasen|cores)\b/i,
    values: phaseSets,
  },
  {
    field: 'installation',
    says: 'how it lies',
    kind: 'choice',
    strong: /\b(?:installation|laying|verlegung|install(?:ed)? (?:in|type|method)|construction)\b/i,
    values: [
      [/duct|conduit|rohr/i, 'duct'],
      [/direct|buried|erde/i, 'direct_buried'],
      [/tray|rack/i, 'tray'],
      [/sub.?marine|river|lake/i, 'submarine'],
    ],
  },
  {
    field: 'energised_on',
    says: 'first day in service',
    kind: 'date',
    strong:
      /\b(?:energi[sz]ed|in ?service|commission\w*|install(?:ed|ation)? ?(?:date|year|on)?|vintage|baujahr|inbetrieb\w*|year)\b/i,
  },
  {
    field: 'retired_on',
    says: 'last day in service',
    kind: 'date',
    strong: /\b(?:retired|abandoned|removed|out of service|stillgelegt)\b/i,
  },
  {
    field: 'customers',
    says: 'customers served',
    kind: 'number',
    strong: /\b(?:customers|cust|consumers|kunden)\b/i,
  },
  {
    field: 'alternate_supply',
    says: 'another supply',
    kind: 'flag',
    strong: /\b(?:alternate|alt ?feed|back ?feed|looped?)\b/i,
    values: yesNo,
  },
  {
    field: 'critical_load',
    says: 'critical load',
    kind: 'flag',
    strong: /\b(?:critical|hospital|essential|priority)\b/i,
    values: yesNo,
  },
];

export const spliceFields: readonly Field[] = [
  segment,
  {
    field: 'splice_id',
    says: 'the owner’s id of the splice',
    kind: 'id',
    strong: /\b(?:splice|joint|muffe)\w* ?(?:id|no|nr|number|tag|#)|^(?:splice|joint|muffe)$/i,
  },
  { field: 'phase', says: 'phases it joins', kind: 'choice', strong: /\b(?:phases?|phasing|ph)\b/i, values: phaseSets },
  {
    field: 'position_m',
    says: 'distance from the beginning',
    kind: 'number',
    strong: /\b(?:position|distance|dist|chainage|station|location|from start|entfernung|lage)\b/i,
    units: length,
  },
  {
    field: 'kind',
    says: 'kind of splice',
    kind: 'choice',
    strong: /\b(?:kind|type|method|splice type|joint type|art)\b/i,
    values: [
      [/^tape|taped|hand.?taped/i, 'taped'],
      [/heat/i, 'heat_shrink'],
      [/cold/i, 'cold_shrink'],
      [/pre-?mou?ld|slip.?on/i, 'premoulded'],
      [/transition|übergang/i, 'transition'],
    ],
    telling: true,
  },
  {
    field: 'installed_on',
    says: 'day it was made',
    kind: 'date',
    strong: /\b(?:install\w*|made|date|built|montage|datum)\b/i,
  },
  { field: 'removed_on', says: 'day it was taken out', kind: 'date', strong: /\b(?:removed|replaced|out)\b/i },
];

export const failureFields: readonly Field[] = [
  segment,
  {
    field: 'failure_id',
    says: 'the owner’s id of the failure',
    kind: 'id',
    strong: /\b(?:failure|fault|outage|incident|event|ticket|st[öo]rung)\w* ?(?:id|no|nr|number|#)/i,
  },
  {
    field: 'failed_on',
    says: 'day it failed',
    kind: 'date',
    strong: /\b(?:failed|failure|fault|outage|date|occurred|st[öo]rung\w*|datum)\b/i,
  },
  { field: 'phase', says: 'phases that failed', kind: 'choice', strong: /\b(?:phases?|ph)\b/i, values: phaseSets },
  {
    field: 'part',
    says: 'part that failed',
    kind: 'choice',
    strong: /\b(?:part|component|equipment|what failed|failed part|bauteil|location)\b/i,
    values: [
      [/^(?:cable|kabel|section)/i, 'cable'],
      [/splice|joint|muffe/i, 'splice'],
      [/term|pothead|elbow|endverschluss/i, 'termination'],
    ],
    telling: true,
  },
  { field: 'cause', says: 'cause', kind: 'text', strong: /\b(?:cause|reason|root|ursache)\b/i },
  {
    field: 'customers_interrupted',
    says: 'customers interrupted',
    kind: 'number',
    strong: /\b(?:customers|cust|ci|kunden)\b/i,
  },
  {
    field: 'duration_min',
    says: 'until supply was back',
    kind: 'number',
    strong: /\b(?:duration|restor\w*|outage (?:min|time|hours|hrs)|dauer|minutes)\b/i,
    units: ['min', 'h', 's'],
  },
];
