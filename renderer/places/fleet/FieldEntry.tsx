import { useEffect, useRef } from 'react';
import { DayInput } from '../../parts/Day.tsx';
import { inWords } from '../../words/labels.ts';
import type { EditedField } from '../../words/segmentFields.ts';

interface Props {
  readonly of: EditedField;
  readonly value: string;
  readonly onValue: (value: string) => void;
  readonly id?: string;
  /** Its name where no label element names it. */
  readonly label?: string;
  readonly describedBy?: string;
  /** Takes the focus when it appears. */
  readonly first?: boolean;
}

/** Where a field of a segment is typed or chosen. */
export function FieldEntry({ of, value, onValue, id, label, describedBy, first = false }: Props) {
  const text = useRef<HTMLInputElement>(null);
  const list = useRef<HTMLSelectElement>(null);
  useEffect(() => {
    if (!first) return;
    text.current?.select();
    (text.current ?? list.current)?.focus();
  }, [first]);
  const common = { id, className: 'field', value, 'aria-label': label, 'aria-describedby': describedBy };
  if (of.day) return <DayInput {...common} ref={text} onValue={onValue} optional={!of.needed} />;
  if (!of.choices)
    return (
      <input
        {...common}
        ref={text}
        autoComplete="off"
        maxLength={2000}
        onChange={(event) => onValue(event.target.value)}
      />
    );
  return (
    <select
      {...common}
      ref={list}
      onChange={(event) => onValue(event.target.value)}
      onKeyDown={(event) => {
        // A closed list takes Enter to open in some browsers; here it saves, as in every other field.
        if (event.key !== 'Enter') return;
        event.preventDefault();
        event.currentTarget.form?.requestSubmit();
      }}
    >
      {(!of.needed || value === '') && <option value="">{of.needed ? 'choose' : 'not recorded'}</option>}
      {of.choices.map((each) => (
        <option key={each} value={each}>
          {inWords(each)}
        </option>
      ))}
    </select>
  );
}
