import { useId, useState } from 'react';
import type { PeriodDays } from '../../parts/Period.tsx';
import { Failed, Waiting } from '../../parts/states.tsx';
import { sampleAbout } from '../../words/evidenceForms.ts';
import { sampleHeads } from '../../words/heads.ts';
import { whole } from '../../words/numbers.ts';
import { useAsk } from '../asking.ts';
import { hrefOf } from '../route.ts';

/** A random sample of the period's tests that another auditor draws the same. */
export function Sample({ period }: { readonly period: PeriodDays }) {
  const [count, setCount] = useState('25');
  const [seed, setSeed] = useState('');
  const ids = { count: useId(), seed: useId() };
  const number = /^\d{1,5}$/.test(count) ? Number(count) : 0;
  const ready = number >= 1 && number <= 10_000 && seed.trim() !== '';
  const asked = useAsk('evidence.sample', { ...period, count: number, seed: seed.trim() }, { enabled: ready });
  return (
    <>
      <p className="say">{sampleAbout}</p>
      <div className="form sample-form no-print">
        <label htmlFor={ids.count}>How many tests</label>
        <input
          id={ids.count}
          className="field"
          inputMode="numeric"
          value={count}
          onChange={(event) => setCount(event.target.value)}
        />
        <label htmlFor={ids.seed}>Text to draw by</label>
        <input
          id={ids.seed}
          className="field"
          value={seed}
          maxLength={200}
          onChange={(event) => setSeed(event.target.value)}
        />
      </div>
      {asked.isError && <Failed error={asked.error} />}
      {ready && asked.isPending && <Waiting words="Drawing…" />}
      {ready && asked.data && (
        <>
          <p className="caption">
            {whole(asked.data.tests.length)} of {whole(asked.data.population)} tests. {asked.data.how}
          </p>
          <table className="ledger">
            <thead>
              <tr>
                <th scope="col">{sampleHeads.no}</th>
                <th scope="col" className="left">
                  {sampleHeads.tested}
                </th>
                <th scope="col" className="left">
                  {sampleHeads.test}
                </th>
                <th scope="col" className="left">
                  {sampleHeads.segment}
                </th>
              </tr>
            </thead>
            <tbody>
              {asked.data.tests.map((test, at) => (
                <tr key={test.id}>
                  <td>{at + 1}</td>
                  <td className="left">{test.testedOn}</td>
                  <td className="left">{test.ownerId}</td>
                  <td className="left">
                    <a href={hrefOf('fleet', test.segmentId)}>{test.segment}</a>
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
        </>
      )}
    </>
  );
}
