import { type HTMLAttributes, useId } from 'react';

interface Props {
  readonly label: string;
  readonly value: string;
  readonly onValue: (value: string) => void;
  readonly maxLength?: number;
  readonly placeholder?: string;
  readonly inputMode?: HTMLAttributes<HTMLInputElement>['inputMode'];
  /** The only field of what a person just opened: it has the keys at once. */
  readonly only?: boolean;
}

/** A line of a form that is typed: its label, and the field beside it. */
export function TextField({ label, onValue, only = false, ...field }: Props) {
  const id = useId();
  return (
    <>
      <label htmlFor={id}>{label}</label>
      <input
        id={id}
        className="field"
        autoComplete="off"
        // biome-ignore lint/a11y/noAutofocus: asked for by forms of one field that the person just opened
        autoFocus={only}
        onChange={(event) => onValue(event.target.value)}
        {...field}
      />
    </>
  );
}
