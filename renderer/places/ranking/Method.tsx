import { Failed, Waiting } from '../../parts/states.tsx';
import { binWords, chanceAlone, foretoldWords, methodWords, share } from '../../words/method.ts';
import { whole } from '../../words/numbers.ts';
import { rankingWords } from '../../words/ranking.ts';
import { useAsk } from '../asking.ts';
import { hrefOf } from '../route.ts';

/** How well the method would have done on this fleet: each segment's last test told from its earlier ones. */
export function Method() {
  const asked = useAsk('method.backtest', {});
  return (
    <div className="sheet-scroll">
      <article className="sheet sheet-plain">
        <p className="caption no-print">
          <a href={hrefOf('ranking')}>{rankingWords.back}</a>
        </p>
        <h1>{methodWords.title}</h1>
        {asked.isError ? (
          <Failed error={asked.error} again={() => void asked.refetch()} />
        ) : !asked.data ? (
          <Waiting words={methodWords.waiting} />
        ) : (
          <>
            <p className="say">{asked.data.sentence}</p>
            <p className="second method-basis">{asked.data.basis}</p>
            <div className="method">
              <section aria-label={methodWords.intervals}>
                <div className="section-head">
                  <h2>{methodWords.intervals}</h2>
                </div>
                <table className="ledger">
                  <thead>
                    <tr>
                      <th scope="col" className="left">
                        {methodWords.where}
                      </th>
                      <th scope="col">{methodWords.tests}</th>
                      <th scope="col">{methodWords.inside90}</th>
                      <th scope="col">{methodWords.byChance}</th>
                      <th scope="col">{methodWords.inside50}</th>
                    </tr>
                  </thead>
                  <tbody>
                    {asked.data.coverage.map((row) => (
                      <tr key={row.name}>
                        <td className="left">{row.name}</td>
                        <td>{whole(row.tests)}</td>
                        <td>{share(row.inside90Pct)}</td>
                        <td>{chanceAlone(row.chanceAlonePct)}</td>
                        <td>{share(row.inside50Pct)}</td>
                      </tr>
                    ))}
                  </tbody>
                </table>
                <p className="caption">{methodWords.byChanceNote}</p>
              </section>
              <section aria-label={methodWords.chances}>
                <div className="section-head">
                  <h2>{methodWords.chancesHead}</h2>
                </div>
                <table className="ledger">
                  <thead>
                    <tr>
                      <th scope="col" className="left">
                        {methodWords.foretoldBetween}
                      </th>
                      <th scope="col">{methodWords.tests}</th>
                      <th scope="col">{methodWords.foretold}</th>
                      <th scope="col">{methodWords.happened}</th>
                    </tr>
                  </thead>
                  <tbody>
                    {asked.data.calibration.map((row) => (
                      <tr key={row.fromPct}>
                        <td className="left">{binWords(row)}</td>
                        <td>{whole(row.tests)}</td>
                        <td>{share(row.predictedPct)}</td>
                        <td>{share(row.happenedPct)}</td>
                      </tr>
                    ))}
                  </tbody>
                </table>
              </section>
            </div>
            <p className="second method-basis">{foretoldWords(asked.data)}</p>
          </>
        )}
      </article>
    </div>
  );
}
