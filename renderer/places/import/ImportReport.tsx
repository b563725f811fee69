import type { OutputOf } from '../../../core/contract/asks/index.ts';
import { host } from '../../client/index.ts';
import { importReportHeads } from '../../words/heads.ts';
import { count, whole } from '../../words/numbers.ts';
import { refusedCsv } from './refusedCsv.ts';

/** The counts of every file, and every refused row with its place and what would be right. */
export function ImportReport({ report }: { readonly report: OutputOf<'fleet.import'> }) {
  return (
    <>
      {report.refusedRows.length > 0 && (
        <section aria-label="Refused rows">
          <div className="section-head">
            <h2>{count(report.refusedCount, 'refused row')}</h2>
            <button
              type="button"
              className="word"
              onClick={() =>
                void host.keepFile({
                  name: 'refused-rows.csv',
                  mediaType: 'text/csv',
                  encoding: 'utf8',
                  content: refusedCsv(report.refusedRows),
                })
              }
            >
              Save as CSV
            </button>
          </div>
          <table className="ledger refused">
            <thead>
              <tr>
                <th scope="col" className="left">
                  {importReportHeads.file}
                </th>
                <th scope="col">{importReportHeads.line}</th>
                <th scope="col" className="left">
                  {importReportHeads.column}
                </th>
                <th scope="col" className="left">
                  {importReportHeads.value}
                </th>
                <th scope="col" className="left">
                  {importReportHeads.whatWouldBeRight}
                </th>
              </tr>
            </thead>
            <tbody>
              {report.refusedRows.map((row) => (
                <tr key={`${row.file} ${row.line} ${row.column} ${row.message}`}>
                  <td className="left nowrap">{row.file}</td>
                  <td>{row.line}</td>
                  <td className="left nowrap">{row.column}</td>
                  <td className="left refused-value">
                    {row.value === '' ? <span className="second">empty</span> : row.value}
                  </td>
                  <td className="left">{row.message}</td>
                </tr>
              ))}
            </tbody>
          </table>
          {report.refusedCount > report.refusedRows.length && (
            <p className="caption">
              The first {whole(report.refusedRows.length)} of {whole(report.refusedCount)} are shown.
            </p>
          )}
        </section>
      )}
      <section aria-label="Files" className="import-files">
        <div className="section-head">
          <h2>File by file</h2>
        </div>
        <table className="ledger">
          <thead>
            <tr>
              <th scope="col" className="left">
                {importReportHeads.file}
              </th>
              <th scope="col">{importReportHeads.rows}</th>
              <th scope="col">{importReportHeads.new}</th>
              <th scope="col">{importReportHeads.changed}</th>
              <th scope="col">{importReportHeads.asItIs}</th>
              <th scope="col">{importReportHeads.refused}</th>
            </tr>
          </thead>
          <tbody>
            {report.files.map((file) => (
              <tr key={file.file}>
                <td className="left">{file.file}</td>
                <td>{whole(file.rows)}</td>
                <td>{whole(file.added)}</td>
                <td>{whole(file.changed)}</td>
                <td>{whole(file.same)}</td>
                <td className={file.refused > 0 ? 'caution' : ''}>{whole(file.refused)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </section>
      {report.words.length > 0 && (
        <section aria-label="Remarks">
          <div className="section-head">
            <h2>Remarks</h2>
          </div>
          <ul className="remarks">
            {report.words.map((line) => (
              <li key={line}>{line}</li>
            ))}
          </ul>
        </section>
      )}
    </>
  );
}
