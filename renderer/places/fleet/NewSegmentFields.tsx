import { useId } from 'react';
import type { InputOf } from '../../../core/contract/asks/index.ts';
import { TextField } from '../../parts/TextField.tsx';
import { newFields } from '../../words/segmentFields.ts';
import { FieldEntry } from './FieldEntry.tsx';

export type Values = InputOf<'segment.add'>['values'];
export interface Typed {
  readonly ownerId: string;
  readonly values: Values;
}

interface Props {
  readonly typed: Typed;
  readonly onTyped: (typed: Typed) => void;
}

/** What is known of a segment that is not there yet; the first five are needed. */
export function NewSegmentFields({ typed, onTyped }: Props) {
  const id = useId();
  return (
    <>
      <TextField
        label="Owner’s id"
        value={typed.ownerId}
        onValue={(value) => onTyped({ ...typed, ownerId: value })}
        maxLength={200}
      />
      {newFields.map((each) => (
        <Row
          key={each.field}
          id={`${id}${each.field}`}
          of={each}
          value={typed.values[each.field] ?? ''}
          onValue={(value) => onTyped({ ...typed, values: { ...typed.values, [each.field]: value } })}
        />
      ))}
    </>
  );
}

interface RowProps {
  readonly id: string;
  readonly of: (typeof newFields)[number];
  readonly value: string;
  readonly onValue: (value: string) => void;
}

const Row = ({ id, of, value, onValue }: RowProps) => (
  <>
    <label htmlFor={id}>{of.label}</label>
    <FieldEntry id={id} of={of} value={value} onValue={onValue} />
  </>
);

/** A line of a refusal with its field named as on the form. */
export function named(line: string): string {
  const [field, ...says] = line.split(': ');
  const label = field === 'segment_id' ? 'Owner’s id' : newFields.find((each) => each.field === field)?.label;
  return label === undefined ? line : `${label}: ${says.join(': ')}`;
}
