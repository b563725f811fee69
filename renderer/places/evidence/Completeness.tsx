import { ask } from '../../client/index.ts';
import type { PeriodDays } from '../../parts/Period.tsx';
import { Failed, Waiting } from '../../parts/states.tsx';
import { completenessWaiting, fieldsWritten } from '../../words/evidenceForms.ts';
import { completenessHeads } from '../../words/heads.ts';
import { whole } from '../../words/numbers.ts';
import { save } from '../acts.ts';
import { useAsk } from '../asking.ts';

/** What the records of the period lack of what standards ask of a test record. */
export function Completeness({ period }: { readonly period: PeriodDays }) {
  const asked = useAsk('evidence.completeness', period, { keep: true });
  if (asked.isError) return <Failed error={asked.error} again={() => void asked.refetch()} />;
  if (!asked.data) return <Waiting words={completenessWaiting} />;
  const { sentence, tests, fields, notHeld } = asked.data;
  return (
    <>
      <p className="say">{sentence}</p>
      <div className="section-head">
        <h2>Field by field</h2>
        <button
          type="button"
          className="word"
          onClick={() =>
            void save(
              'completeness.csv',
              'file',
              (csv) => ask('evidence.completeness', { ...period, csv }),
              fieldsWritten,
            )
          }
        >
          CSV
        </button>
      </div>
      <table className="ledger">
        <thead>
          <tr>
            <th scope="col" className="left">
              {completenessHeads.askedFor}
            </th>
            <th scope="col" className="left">
              {completenessHeads.heldAs}
            </th>
            <th scope="col">Missing in {whole(tests)} tests</th>
            <th scope="col" className="left">
              {completenessHeads.firstOfThem}
            </th>
            <th scope="col" className="left">
              {completenessHeads.source}
            </th>
          </tr>
        </thead>
        <tbody>
          {fields.map((field) => (
            <tr key={`${field.group} ${field.field}`}>
              <td className="left">
                <span className="second">{field.group}: </span>
                {field.field}
              </td>
              <td className="left second">{field.held}</td>
              <td className={field.missing > 0 ? 'strong' : 'second'}>{whole(field.missing)}</td>
              <td className="left second">{field.first.slice(0, 3).join(', ')}</td>
              <td className="left second">{field.source}</td>
            </tr>
          ))}
        </tbody>
      </table>
      {notHeld.length > 0 && (
        <p className="caption not-held">
          Asked for, and not held here; keep it with the report:{' '}
          {notHeld.map((field) => `${field.field} (${field.source})`).join(', ')}.
        </p>
      )}
    </>
  );
}
