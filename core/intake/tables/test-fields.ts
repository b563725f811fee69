import { type Field, segment } from './field.ts';

const onePhase: NonNullable<Field['values']> = [
  [/^(?:a|l1|1|r|phase ?a|ph ?a)$/i, 'A'],
  [/^(?:b|l2|2|s|phase ?b|ph ?b)$/i, 'B'],
  [/^(?:c|l3|3|t|phase ?c|ph ?c)$/i, 'C'],
];
const outcomes: NonNullable<Field['values']> = [
  [/^(?:pass(?:ed)?|ok|good|withstood|held|acceptable|bestanden|i\.?o\.?)$/i, 'withstood'],
  [/^(?:breakdown|failed|fail|flash.?over|broke down|durchschlag|punctured)$/i, 'breakdown'],
  [/^(?:stopped|aborted|abort|interrupted|trip(?:ped)?|abgebrochen|incomplete)$/i, 'stopped'],
];
const crew: Field = {
  field: 'crew',
  says: 'who tested',
  kind: 'text',
  strong: /\b(?:crew|tester|tested by|technician|operator|pr[üu]fer|team)\b/i,
};
const note: Field = {
  field: 'note',
  says: 'a note',
  kind: 'text',
  strong: /\b(?:notes?|remarks?|comments?|bemerkung|observations?)\b/i,
};
const temperature = ['C', 'F'];

export const testFields: readonly Field[] = [
  segment,
  {
    field: 'test_id',
    says: 'the owner’s id of the test',
    kind: 'id',
    strong: /\b(?:test|report|record|pr[üu]f\w*) ?(?:id|no|nr|number|#|nummer)\b/i,
  },
  {
    field: 'tested_on',
    says: 'day of the test',
    kind: 'date',
    strong: /\b(?:tested|test ?date|date|datum|day|pr[üu]fdatum|when)\b/i,
  },
  {
    field: 'phase',
    says: 'phase tested',
    kind: 'choice',
    strong: /^(?:phase|ph|leiter|conductor|core)\b/i,
    values: onePhase,
  },
  {
    field: 'method',
    says: 'how it was tested',
    kind: 'choice',
    strong: /\b(?:method|test type|type|pr[üu]fart)\b/i,
    values: [
      [/step/i, 'dc_step'],
      [/ins|megg|ir\b|resist/i, 'insulation_resistance'],
      [/hi.?pot|withstand|dc|proof/i, 'dc_withstand'],
    ],
  },
  {
    field: 'purpose',
    says: 'why it was tested',
    kind: 'choice',
    strong: /\b(?:purpose|reason|why|occasion|anlass)\b/i,
    values: [
      [/accept|new|commission/i, 'acceptance'],
      [/maint|routine|periodic/i, 'maintenance'],
      [/repair|after/i, 'after_repair'],
    ],
  },
  {
    field: 'voltage_kv',
    says: 'test voltage',
    kind: 'number',
    strong: /\b(?:voltage|volts?|kv|spannung|test ?kv|pr[üu]fspannung|applied)\b/i,
    units: ['kV', 'V'],
  },
  {
    field: 'dwell_min',
    says: 'minutes at that voltage',
    kind: 'number',
    strong: /\b(?:dwell|hold|duration|time|dauer|minutes|pr[üu]fdauer|soak)\b/i,
    units: ['min', 's', 'h'],
  },
  {
    field: 'leakage',
    says: 'leakage',
    kind: 'number',
    strong: /\b(?:leak\w*|current|strom|ableitstrom|microamps?|i)\b|[µμu]a\b/i,
    units: ['nA', 'uA', 'mA'],
  },
  {
    field: 'resistance',
    says: 'insulation resistance',
    kind: 'number',
    strong: /\b(?:resistance|ir|megohms?|megs?|riso|r|isolationswiderstand|widerstand)\b|ohm|Ω/i,
    units: ['kOhm', 'MOhm', 'GOhm', 'TOhm'],
  },
  {
    field: 'insulation_temp_c',
    says: 'temperature of the insulation',
    kind: 'number',
    strong: /\b(?:(?:cable|insulation|conductor|soil|kabel)\w* ?temp\w*|temp\w*)\b/i,
    units: temperature,
  },
  {
    field: 'ambient_temp_c',
    says: 'temperature of the air',
    kind: 'number',
    strong: /\b(?:ambient|air|weather|outdoor|luft|aussen)\b/i,
    units: temperature,
  },
  {
    field: 'humidity_pct',
    says: 'humidity',
    kind: 'number',
    strong: /\b(?:humidity|rh|feuchte)\b/i,
    units: ['%'],
    usual: '%',
  },
  {
    field: 'outcome',
    says: 'how it ended',
    kind: 'choice',
    strong: /\b(?:outcome|result|verdict|pass ?fail|status|ergebnis|passed)\b/i,
    values: outcomes,
    telling: true,
  },
  {
    field: 'instrument_id',
    says: 'the instrument',
    kind: 'text',
    strong: /\b(?:instrument|test ?set|tester ?(?:id|sn|serial)|serial|ger[äa]t|equipment ?(?:id|no))\b/i,
  },
  crew,
  note,
];
