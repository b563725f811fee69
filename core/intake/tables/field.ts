/** A thing that a column of an owner's table may hold. Words are ours, gathered from how people name columns. */
export interface Field {
  readonly field: string;
  readonly says: string;
  readonly kind: 'id' | 'segment' | 'text' | 'number' | 'date' | 'choice' | 'flag' | 'conductor';
  /** Names that say it outright. */
  readonly strong: RegExp;
  /** Names that may say it. */
  readonly weak?: RegExp;
  readonly units?: readonly string[];
  /** Taken where no unit is said; where there is none, a person must say. */
  readonly usual?: string;
  /** Spellings of each value. */
  readonly values?: readonly (readonly [RegExp, string])[];
  /** Values that tell the field whatever the column is called. */
  readonly telling?: boolean;
}

export const segment: Field = {
  field: 'segment_id',
  says: 'the segment, by id or name',
  kind: 'segment',
  strong:
    /^(?:(?:cable|segment|section|circuit|asset|line|kabel|strecke)(?: ?(?:id|no|nr|number|nummer|code|tag|name|ref|section|segment))?|segment ?id|kabelnummer|cable ?#)$/i,
  weak: /\b(?:segment|cable|section|circuit|asset|kabel|strecke|run)\b|^id$|^tag$|^equipment/i,
};

export const phaseSets: NonNullable<Field['values']> = [
  [/^(?:abc|3|three|3.?ph(?:ase)?|all|a.?b.?c|l1.?l2.?l3)$/i, 'ABC'],
  [/^(?:ab|a.?b)$/i, 'AB'],
  [/^(?:bc|b.?c)$/i, 'BC'],
  [/^(?:ac|a.?c)$/i, 'AC'],
  [/^(?:a|l1|phase ?a)$/i, 'A'],
  [/^(?:b|l2|phase ?b)$/i, 'B'],
  [/^(?:c|l3|phase ?c)$/i, 'C'],
];
