import { useState } from 'react';
import type { HostState } from '../../client/index.ts';
import { RowStrip } from '../../parts/YearStrip.tsx';
import { openDemo, openFleet } from '../frame/fleetActs.ts';
import { NewFleet } from '../frame/NewFleet.tsx';
import './welcome.css';
import { welcomeCaution, welcomeWords } from '../../words/frame.ts';

/** No fleet is open: what this is, and four ways to begin. */
export function Welcome({ state }: { readonly state: HostState }) {
  const [naming, setNaming] = useState(false);
  const [busy, setBusy] = useState(false);
  const demo = async (): Promise<void> => {
    setBusy(true);
    await openDemo();
    setBusy(false);
  };
  return (
    <main className="welcome">
      <article className="welcome-sheet">
        <RowStrip strip={sample} cell={11} height={15} silent />
        <h1>Cable Yearbook</h1>
        <p className="say">{welcomeWords}</p>
        <ul className="welcome-ways">
          <li>
            <button type="button" className="button first" disabled={busy} onClick={() => void demo()}>
              {busy ? 'Writing it…' : 'Look at an invented utility'}
            </button>
            <span className="second">Harrow Vale: 600 segments, 18 years of tests, a few traps in the data.</span>
          </li>
          <li>
            <button type="button" className="button" onClick={() => setNaming(true)}>
              Begin a fleet…
            </button>
            <span className="second">Empty at first; then import a folder, a spreadsheet or your tester’s files.</span>
          </li>
          <li>
            <button type="button" className="button" onClick={() => void openFleet(null, false)}>
              Open a fleet…
            </button>
            <span className="second">
              A .fleet file.{' '}
              <button type="button" className="word" onClick={() => void openFleet(null, true)}>
                Open read-only
              </button>{' '}
              to look without touching.
            </span>
          </li>
        </ul>
        {state.recent.length > 0 && (
          <section aria-label="Recent fleets">
            <h2>Recent</h2>
            <ul className="welcome-recent">
              {state.recent.map((fleet) => (
                <li key={fleet.file}>
                  <button type="button" className="word" onClick={() => void openFleet(fleet.file, false)}>
                    {fleet.name}
                  </button>
                  <span className="second">
                    {' '}
                    · {fleet.openedAt.slice(0, 10)} ·{' '}
                    <button
                      type="button"
                      className="word"
                      aria-label={`${fleet.name}, read-only`}
                      onClick={() => void openFleet(fleet.file, true)}
                    >
                      read-only
                    </button>
                  </span>
                </li>
              ))}
            </ul>
          </section>
        )}
        <p className="caption welcome-caution">{welcomeCaution}</p>
      </article>
      {naming && <NewFleet onClose={() => setNaming(false)} />}
    </main>
  );
}

/** An ornament: the drawing that stands for a cable's life everywhere in this program. */
const sample = {
  from: 1984,
  now: 2025,
  to: 2033,
  levels: [
    ...Array(22).fill(0),
    1,
    1,
    1,
    1,
    2,
    2,
    2,
    0,
    0,
    0,
    1,
    1,
    1,
    2,
    2,
    2,
    3,
    3,
    3,
    4,
    4,
    4,
    4,
    5,
    5,
    5,
    5,
    5,
    5,
    5,
  ],
  tested: [1984, 2006, 2009, 2012, 2016, 2019, 2022, 2025],
  notches: [2013],
  crosses: [],
};
