import { useId } from 'react';
import type { PreviewedTable } from '../../../core/contract/shapes/records.ts';
import { unitWords } from '../../words/records.ts';
import type { useTableLayout } from './useTableLayout.ts';

interface Props {
  readonly table: PreviewedTable;
  readonly layout: ReturnType<typeof useTableLayout>;
}

/** What no column says: the same in every row. And how figures and days are written. */
export function ForAllRows({ table, layout }: Props) {
  const free = layout.own.filter(
    (field) => !layout.forAll.includes(field.field) && !layout.columns.some((column) => column.field === field.field),
  );
  return (
    <fieldset className="for-chosen">
      <legend className="caption">For all rows of {table.name}:</legend>
      <label>
        decimal mark{' '}
        <select
          className="field"
          value={layout.decimal}
          onChange={(event) => layout.setDecimal(event.target.value as '.' | ',')}
        >
          <option value=".">point</option>
          <option value=",">comma</option>
        </select>
      </label>
      <label>
        days written{' '}
        <select
          className="field"
          value={layout.dateOrder}
          onChange={(event) => layout.setDateOrder(event.target.value as PreviewedTable['dateOrder'])}
        >
          <option>day first</option>
          <option>month first</option>
        </select>
      </label>
      {layout.forAll.map((name) => (
        <FixedField key={name} name={name} layout={layout} />
      ))}
      {free.length > 0 && (
        <select
          className="field"
          aria-label="Another value for all rows"
          value=""
          onChange={(event) => layout.say(event.target.value, '')}
        >
          <option value="">another value…</option>
          {free.map((field) => (
            <option key={field.field} value={field.field}>
              {field.says}
            </option>
          ))}
        </select>
      )}
    </fieldset>
  );
}

function FixedField({ name, layout }: { readonly name: string; readonly layout: Props['layout'] }) {
  const id = useId();
  const ofUnit = name.endsWith('_unit') ? layout.own.find((field) => `${field.field}_unit` === name) : undefined;
  const field = ofUnit ?? layout.own.find((one) => one.field === name);
  const choices = ofUnit ? ofUnit.units : (field?.values ?? []);
  const label = ofUnit ? `unit of ${ofUnit.says}` : (field?.says ?? name);
  return (
    <span>
      <label htmlFor={id}>{label}</label>{' '}
      {choices.length > 0 ? (
        <select
          id={id}
          className="field"
          value={layout.fixed[name] ?? ''}
          onChange={(event) => layout.say(name, event.target.value)}
        >
          <option value="">?</option>
          {choices.map((choice) => (
            <option key={choice} value={choice}>
              {ofUnit ? unitWords(choice) : choice.replaceAll('_', ' ')}
            </option>
          ))}
        </select>
      ) : (
        <input
          id={id}
          className="field narrow"
          value={layout.fixed[name] ?? ''}
          onChange={(event) => layout.say(name, event.target.value)}
        />
      )}
    </span>
  );
}
