import { Fragment, useState } from 'react';
import { changeWords, type LedgerEntry, moment } from '../../words/evidence.ts';
import { ledgerLinesHeads } from '../../words/heads.ts';
import { whole } from '../../words/numbers.ts';

/** Lines of the ledger; a line's number opens what it changed. */
export function LedgerLines({ entries }: { readonly entries: readonly LedgerEntry[] }) {
  const [open, setOpen] = useState<number | null>(null);
  return (
    <table className="ledger ledger-lines">
      <thead>
        <tr>
          <th scope="col">{ledgerLinesHeads.line}</th>
          <th scope="col" className="left">
            {ledgerLinesHeads.whenUtc}
          </th>
          <th scope="col" className="left">
            {ledgerLinesHeads.who}
          </th>
          <th scope="col" className="left">
            {ledgerLinesHeads.what}
          </th>
          <th scope="col" className="left">
            {ledgerLinesHeads.about}
          </th>
          <th scope="col">{ledgerLinesHeads.records}</th>
          <th scope="col" className="left">
            {ledgerLinesHeads.why}
          </th>
        </tr>
      </thead>
      <tbody>
        {entries.map((entry) => (
          <Fragment key={entry.line}>
            <tr>
              <td>
                <button
                  type="button"
                  className="fold"
                  aria-expanded={open === entry.line}
                  onClick={() => setOpen(open === entry.line ? null : entry.line)}
                >
                  {entry.line}
                </button>
              </td>
              <td className="left nowrap">{moment(entry.at)}</td>
              <td className="left">{entry.who}</td>
              <td className="left">{entry.what}</td>
              <td className="left">{entry.name ?? ''}</td>
              <td>{whole(entry.records)}</td>
              <td className="left second">{entry.why ?? ''}</td>
            </tr>
            {open === entry.line && (
              <tr>
                <td />
                <td className="left" colSpan={6}>
                  <Changes entry={entry} />
                </td>
              </tr>
            )}
          </Fragment>
        ))}
      </tbody>
    </table>
  );
}

function Changes({ entry }: { readonly entry: LedgerEntry }) {
  return (
    <div className="caption">
      {entry.before !== null && <p>Before: {entry.before}</p>}
      {entry.after !== null && <p>After: {entry.after}</p>}
      {entry.changes.map((change) => (
        <p key={`${change.entity} ${change.id}`}>
          <span className="strong">{change.name}</span> · {change.fields.map(changeWords).join(' · ')}
        </p>
      ))}
      {entry.changesTotal > entry.changes.length && (
        <p>and {whole(entry.changesTotal - entry.changes.length)} records more.</p>
      )}
      <p className="hash">Hash {entry.hash}</p>
    </div>
  );
}
