import type { OutputOf } from '../../core/contract/asks/index.ts';
import type { SegmentField, SegmentPage, SharedField } from '../../core/contract/asks/segment.ts';
import { inWords } from './labels.ts';
import { asSet, nb } from './numbers.ts';
import { lengthWords, type UnitSystem } from './units.ts';

/** A field of the segment's record as a person edits it. */
export interface EditedField {
  readonly field: Exclude<SegmentField, 'feeder_id' | 'replaces_segment_id'>;
  readonly label: string;
  /** As it is typed; '' where unknown. */
  readonly typed: (page: SegmentPage) => string;
  readonly choices?: readonly string[];
  /** Written as a day. */
  readonly day?: boolean;
  /** Never empty. */
  readonly needed?: boolean;
  /** Column of the record that its history is told by. */
  readonly stored: string;
}

const number = (value: number | null): string => (value === null ? '' : String(value));
const flag = (value: boolean | null): string => (value === null ? '' : value ? 'yes' : 'no');
const yesNo = ['yes', 'no'] as const;

type Some = Partial<Pick<EditedField, 'choices' | 'day' | 'needed' | 'stored'>>;
const one = (
  field: EditedField['field'],
  label: string,
  typed: EditedField['typed'],
  some: Some = {},
): EditedField => ({
  field,
  label,
  typed,
  stored: field,
  ...some,
});

/** Every field that is edited in the window, in the order of the page. */
export const editedFields: readonly EditedField[] = [
  one('name', 'Name', (p) => p.name, { needed: true }),
  one('length', 'Length, with its unit', (p) => p.lengthTyped, { needed: true, stored: 'length_m' }),
  one('insulation', 'Insulation', (p) => p.insulation, {
    needed: true,
    choices: ['PILC', 'HMWPE', 'XLPE', 'TR-XLPE', 'EPR', 'PVC', 'other'],
  }),
  one('phases', 'Phases', (p) => p.phases, { needed: true, choices: ['ABC', 'AB', 'AC', 'BC', 'A', 'B', 'C'] }),
  one('rated_kv', 'Rated, kV', (p) => number(p.ratedKv)),
  one('insulation_level_pct', 'Level, %', (p) => number(p.insulationLevelPct), { choices: ['100', '133', '173'] }),
  one('conductor_material', 'Conductor', (p) => p.conductorMaterial ?? '', { choices: ['Cu', 'Al'] }),
  one('conductor_area_mm2', 'Conductor area, mm²', (p) => number(p.conductorAreaMm2)),
  one('conductor_diameter_mm', 'Conductor diameter, mm', (p) => number(p.conductorDiameterMm)),
  one('insulation_thickness_mm', 'Insulation thickness, mm', (p) => number(p.insulationThicknessMm)),
  one('installation', 'How it lies', (p) => p.installation ?? '', {
    choices: ['duct', 'direct_buried', 'tray', 'submarine'],
  }),
  one('from_point', 'From', (p) => p.fromPoint ?? ''),
  one('to_point', 'To', (p) => p.toPoint ?? ''),
  one('energised_on', 'In service since', (p) => p.energisedOn ?? '', { day: true }),
  one('retired_on', 'Retired on', (p) => p.retiredOn ?? '', { day: true }),
  one('customers', 'Customers', (p) => number(p.customers)),
  one('alternate_supply', 'Another supply', (p) => flag(p.alternateSupply), { choices: yesNo }),
  one('critical_load', 'Critical load', (p) => flag(p.criticalLoad), { choices: yesNo }),
];

/** Fields of a segment that is not there yet. */
export const newFields = editedFields.filter(
  (each): each is EditedField & { field: Exclude<EditedField['field'], 'retired_on'> } => each.field !== 'retired_on',
);

const shared: readonly SharedField[] = [
  'critical_load',
  'alternate_supply',
  'customers',
  'installation',
  'rated_kv',
  'insulation',
  'insulation_level_pct',
  'insulation_thickness_mm',
  'conductor_material',
  'conductor_area_mm2',
  'conductor_diameter_mm',
  'energised_on',
];

/** Fields that can be set for many segments at once, those that most often are so first. */
export const sharedFields = shared.flatMap((field) =>
  editedFields.filter((each): each is EditedField & { field: SharedField } => each.field === field),
);

const notRecorded = 'not recorded';

/** A typed value as it stands on the page. */
export const valueWords = (typed: string): string => (typed === '' ? notRecorded : inWords(typed));

/** A field's name and a typed value of it with its unit: 'Length' and '720 m', 'Rated' and '15 kV'. */
export function setWords(
  { field, label }: EditedField,
  typed: string,
): { readonly name: string; readonly value: string } {
  const [name = label, unit] = label.split(', ');
  const value = valueWords(typed.trim());
  // A length is typed with its unit.
  return {
    name,
    value: unit === undefined || value === notRecorded || field === 'length' ? value : `${value}${nb}${unit}`,
  };
}

type Versions = OutputOf<'ledger.ofRecord'>['versions'];

/** What a field was before, latest first: 'duct until 2026-06-30 · Ada Thornbury, line 4'. */
export function earlierWords(of: EditedField, versions: Versions, units: UnitSystem): string[] {
  const words: string[] = [];
  for (const version of versions.slice(1)) {
    const change = version.fields.find((each) => each.field === of.stored);
    if (!change) continue;
    const { before } = change;
    const value =
      before === null
        ? notRecorded
        : of.field === 'length'
          ? lengthWords(Number(before), units)
          : of.choices === yesNo
            ? before === 1
              ? 'yes'
              : 'no'
            : typeof before === 'number'
              ? asSet(before)
              : inWords(before);
    words.unshift(`${value} until ${version.at.slice(0, 10)} · ${version.who}, line ${version.line}`);
  }
  return words.slice(0, 6);
}

/** 'Mill Lane 3: length is now 720 m.' */
export function isNowWords(segment: string, of: EditedField, typed: string): string {
  const { name, value } = setWords(of, typed);
  return `${segment}: ${name.toLowerCase()} is now ${value}.`;
}
