import { Failed, Waiting } from '../../parts/states.tsx';
import { fixed, measured, whole } from '../../words/numbers.ts';
import { useAsk } from '../asking.ts';
import { hrefOf } from '../route.ts';

const share = (pct: number | null): string => (pct === null ? '–' : `${fixed(pct, 1)} %`);

/** How well the method would have done on this fleet: each segment's last test told from its earlier ones. */
export function Method() {
  const asked = useAsk('method.backtest', {});
  return (
    <div className="sheet-scroll">
      <article className="sheet sheet-plain">
        <p className="caption no-print">
          <a href={hrefOf('ranking')}>Back to the ranking</a>
        </p>
        <h1>How far to trust it</h1>
        {asked.isError ? (
          <Failed error={asked.error} again={() => void asked.refetch()} />
        ) : !asked.data ? (
          <Waiting words="Telling every last test from the earlier ones…" />
        ) : (
          <>
            <p className="say">{asked.data.sentence}</p>
            <p className="second method-basis">{asked.data.basis}</p>
            <div className="method">
              <section aria-label="Intervals">
                <div className="section-head">
                  <h2>Intervals</h2>
                </div>
                <table className="ledger">
                  <thead>
                    <tr>
                      <th scope="col" className="left">
                        Where
                      </th>
                      <th scope="col">Tests</th>
                      <th scope="col">Inside the 90 % interval</th>
                      <th scope="col">Inside the 50 %</th>
                    </tr>
                  </thead>
                  <tbody>
                    {asked.data.coverage.map((row) => (
                      <tr key={row.name}>
                        <td className="left">{row.name}</td>
                        <td>{whole(row.tests)}</td>
                        <td>{share(row.inside90Pct)}</td>
                        <td>{share(row.inside50Pct)}</td>
                      </tr>
                    ))}
                  </tbody>
                </table>
              </section>
              <section aria-label="Chances">
                <div className="section-head">
                  <h2>Chances to exceed the limit</h2>
                </div>
                <table className="ledger">
                  <thead>
                    <tr>
                      <th scope="col" className="left">
                        Foretold between
                      </th>
                      <th scope="col">Tests</th>
                      <th scope="col">Foretold</th>
                      <th scope="col">Happened</th>
                    </tr>
                  </thead>
                  <tbody>
                    {asked.data.calibration.map((row) => (
                      <tr key={row.fromPct}>
                        <td className="left">
                          {fixed(row.fromPct, 0)} and {fixed(row.toPct, 0)} %
                        </td>
                        <td>{whole(row.tests)}</td>
                        <td>{share(row.predictedPct)}</td>
                        <td>{share(row.happenedPct)}</td>
                      </tr>
                    ))}
                  </tbody>
                </table>
              </section>
            </div>
            <p className="second method-basis">
              {measured(asked.data.expected)} were expected above the limit, {whole(asked.data.observed)} were. Brier
              score {measured(asked.data.brier)}, against {measured(asked.data.brierOfAverage)} for telling everyone the
              average. {asked.data.correction}
            </p>
          </>
        )}
      </article>
    </div>
  );
}
