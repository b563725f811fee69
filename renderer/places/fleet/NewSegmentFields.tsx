import { useId } from 'react';
import type { InputOf } from '../../../core/contract/asks/index.ts';
import type { Problem } from '../../../core/contract/problem.ts';
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
      <label htmlFor={`${id}owner`}>Owner’s id</label>
      <input
        id={`${id}owner`}
        className="field"
        autoComplete="off"
        value={typed.ownerId}
        maxLength={200}
        onChange={(event) => onTyped({ ...typed, ownerId: event.target.value })}
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

/** What of a form was not taken, and why. */
export function NotTaken({ problem }: { readonly problem: Problem | null }) {
  if (problem === null) return null;
  const named = (line: string): string => {
    const [field, ...says] = line.split(': ');
    const label = field === 'segment_id' ? 'Owner’s id' : newFields.find((each) => each.field === field)?.label;
    return label === undefined ? line : `${label}: ${says.join(': ')}`;
  };
  const lines = problem.details ?? [problem.where ? `${problem.where}: ${problem.message}` : problem.message];
  return (
    <div className="caution form-gap" role="alert">
      {lines.map((line) => (
        <p key={line}>{named(line)}</p>
      ))}
    </div>
  );
}
