import type { OutputOf } from '../../../core/contract/asks/index.ts';
import { ask, host } from '../../client/index.ts';
import type { PeriodDays } from '../../parts/Period.tsx';
import { Failed, Waiting } from '../../parts/states.tsx';
import { calibrationWaiting, certificateKept } from '../../words/evidenceForms.ts';
import { calibrationHeads } from '../../words/heads.ts';
import { count, whole } from '../../words/numbers.ts';
import { act, save } from '../acts.ts';
import { useAsk } from '../asking.ts';

/** Was each test made with an instrument in calibration that day? */
export function Calibration({ period, readOnly }: { readonly period: PeriodDays; readonly readOnly: boolean }) {
  const asked = useAsk('evidence.calibration', period, { keep: true });
  if (asked.isError) return <Failed error={asked.error} again={() => void asked.refetch()} />;
  if (!asked.data) return <Waiting words={calibrationWaiting} />;
  const { sentence, instruments, lapses, unknown, unknownTotal } = asked.data;
  return (
    <>
      <p className="say">{sentence}</p>
      {lapses.length > 0 && (
        <section aria-label="Lapses">
          <div className="section-head">
            <h2>{count(lapses.length, 'lapse')}</h2>
          </div>
          {lapses.map((lapse) => (
            <details key={`${lapse.instrument} ${lapse.from} ${lapse.to}`} className="lapse">
              <summary>
                <span className="strong">{lapse.instrument}</span>: {lapse.says}
              </summary>
              <p className="caption">
                {lapse.tests.map((test) => `${test.testedOn} ${test.segment} (${test.ownerId})`).join(' · ')}
              </p>
            </details>
          ))}
        </section>
      )}
      <div className="section-head">
        <h2>Instruments</h2>
        <button
          type="button"
          className="word"
          onClick={() =>
            void save(
              'calibration.csv',
              'file',
              (csv) => ask('evidence.calibration', { ...period, csv }),
              'Calibrations are written as CSV.',
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
              {calibrationHeads.instrument}
            </th>
            <th scope="col" className="left">
              {calibrationHeads.serial}
            </th>
            <th scope="col">{calibrationHeads.tests}</th>
            <th scope="col">{calibrationHeads.outOfCalibration}</th>
            <th scope="col" className="left">
              {calibrationHeads.certificatesOfThePeriod}
            </th>
          </tr>
        </thead>
        <tbody>
          {instruments.map((each) => (
            <tr key={each.instrument}>
              <td className="left strong">{each.instrument}</td>
              <td className="left">{each.serial ?? '–'}</td>
              <td>{whole(each.tests)}</td>
              <td className={each.outOfCalibration > 0 ? 'caution' : ''}>{whole(each.outOfCalibration)}</td>
              <td className="left">
                {each.certificates.length === 0 && <span className="second">none on record</span>}
                {papersOf(each, period).map((paper) => (
                  <div key={paper.id}>
                    {paper.certificate ?? 'no number'}, {paper.calibratedOn} to {paper.dueOn}
                    {paper.dueAssumed && <span className="second"> (assumed)</span>}{' '}
                    {paper.file ? (
                      <span className="second" title={`SHA-256 ${paper.file.sha256}`}>
                        · {paper.file.name}
                      </span>
                    ) : (
                      !readOnly && (
                        <button type="button" className="word" onClick={() => void attach(paper.id)}>
                          attach its file…
                        </button>
                      )
                    )}
                  </div>
                ))}
              </td>
            </tr>
          ))}
        </tbody>
      </table>
      {unknownTotal > 0 && (
        <section aria-label="Unknown">
          <div className="section-head">
            <h2>Not to be told for {count(unknownTotal, 'test')}</h2>
          </div>
          <p className="second">
            {unknown
              .slice(0, 20)
              .map((test) => `${test.testedOn} ${test.segment}: ${test.because}`)
              .join(' · ')}
          </p>
        </section>
      )}
    </>
  );
}

type Instrument = OutputOf<'evidence.calibration'>['instruments'][number];

/** Certificates that cover a part of the period, and the one before where none does. */
function papersOf(instrument: Instrument, period: PeriodDays): Instrument['certificates'] {
  const covering = instrument.certificates.filter(
    (paper) => paper.dueOn >= period.from && paper.calibratedOn <= period.to,
  );
  return covering.length > 0 ? covering : instrument.certificates.slice(-1);
}

async function attach(calibrationId: string): Promise<void> {
  const [file] = await host.pickFiles({ many: false });
  if (file !== undefined) await act('calibration.attach', { calibrationId, file }, certificateKept);
}
