import type { SegmentPage } from '../../../core/contract/asks/segment.ts';
import { inWords } from '../../words/labels.ts';
import { customersWords, minutesWords } from '../../words/segment.ts';

/** What was done to the cable, and how it failed. */
export function SegmentEvents({ page }: { readonly page: SegmentPage }) {
  if (page.interventions.length === 0 && page.failures.length === 0) return null;
  const done = [...page.interventions].sort((a, b) => b.doneOn.localeCompare(a.doneOn));
  const failed = [...page.failures].sort((a, b) => b.failedOn.localeCompare(a.failedOn));
  return (
    <div className="two">
      {done.length > 0 && (
        <section aria-label="Work done">
          <div className="section-head">
            <p className="caption">Work done</p>
          </div>
          <table className="ledger">
            <tbody>
              {done.map((each) => (
                <tr key={each.ownerId}>
                  <td className="left nowrap">{each.doneOn}</td>
                  <td className="left">
                    {inWords(each.kind)}
                    {each.note && <span className="second"> · {each.note}</span>}
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
        </section>
      )}
      {failed.length > 0 && (
        <section aria-label="Failures">
          <div className="section-head">
            <p className="caption">Failures</p>
          </div>
          <table className="ledger">
            <tbody>
              {failed.map((each) => (
                <tr key={each.ownerId}>
                  <td className="left nowrap">{each.failedOn}</td>
                  <td className="left">
                    {[
                      each.part === null ? 'part unknown' : inWords(each.part),
                      each.phase === null ? '' : `phase ${each.phase}`,
                      each.cause === null ? 'cause unknown' : inWords(each.cause),
                      customersWords(each.customersInterrupted),
                      minutesWords(each.durationMin),
                    ]
                      .filter((word) => word !== '')
                      .join(' · ')}
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
        </section>
      )}
    </div>
  );
}
