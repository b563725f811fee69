import { briefTestsHeads } from '../../words/heads.ts';
import { inWords } from '../../words/labels.ts';
import { measured } from '../../words/numbers.ts';
import type { Brief } from '../../words/retest.ts';
import { temperature, temperatureUnit } from '../../words/units.ts';
import { useUnits } from '../settings.ts';

/** Every test of the segment, each phase, newest first; then what was done and what failed. */
export function BriefTests({ brief }: { readonly brief: Brief }) {
  const units = useUnits();
  return (
    <section aria-label="What was measured">
      <div className="section-head">
        <h2>Measured so far</h2>
      </div>
      {brief.tests.length === 0 ? (
        <p className="second">Never tested.</p>
      ) : (
        <table className="ledger">
          <thead>
            <tr>
              <th scope="col" className="left">
                {briefTestsHeads.tested}
              </th>
              <th scope="col">{briefTestsHeads.kv}</th>
              <th scope="col">{briefTestsHeads.min}</th>
              <th scope="col">{temperatureUnit(units)}</th>
              <th scope="col">{briefTestsHeads.aMicroAmps}</th>
              <th scope="col">{briefTestsHeads.bMicroAmps}</th>
              <th scope="col">{briefTestsHeads.cMicroAmps}</th>
              <th scope="col">{briefTestsHeads.levelAt20Celsius}</th>
              <th scope="col" className="left">
                {briefTestsHeads.instrument}
              </th>
              <th scope="col" className="left">
                {briefTestsHeads.whatItSays}
              </th>
            </tr>
          </thead>
          <tbody>
            {brief.tests.map((test) => (
              <tr key={`${test.testedOn} ${test.method} ${test.a} ${test.b} ${test.c}`}>
                <td className="left nowrap">{test.testedOn}</td>
                <td>{test.voltageKv}</td>
                <td>{test.dwellMin}</td>
                <td>{test.tempC === null ? '–' : temperature(test.tempC, units)}</td>
                <td>{test.a ?? '–'}</td>
                <td>{test.b ?? '–'}</td>
                <td>{test.c ?? '–'}</td>
                <td>{test.nsPerKmAt20C === null ? '–' : measured(test.nsPerKmAt20C)}</td>
                <td className="left">
                  {test.instrument ?? 'not recorded'}
                  {test.calibration === 'out of calibration' && <span className="caution">, out of calibration</span>}
                </td>
                <td className="left">{test.says}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      {(brief.interventions.length > 0 || brief.failures.length > 0) && (
        <p className="caption brief-events">
          {[
            ...brief.interventions.map((each) => `${each.doneOn} ${inWords(each.kind)}`),
            ...brief.failures.map(
              (each) =>
                `${each.failedOn} failed: ${each.part ?? 'part unknown'}${each.phase ? `, phase ${each.phase}` : ''}`,
            ),
          ]
            .sort()
            .reverse()
            .join(' · ')}
        </p>
      )}
    </section>
  );
}
