import { useEffect, useState, useSyncExternalStore } from 'react';
import { type Work, works } from '../client/index.ts';
import { duration } from '../words/dates.ts';
import { percent } from '../words/numbers.ts';
import { isWorthTelling, workName } from '../words/works.ts';
import './tray.css';

const useWorks = (): readonly Work[] => useSyncExternalStore(works.subscribe, works.list);

/** Long work: what runs, how far it is, a way to stop it; what failed stays until it is put away. */
export function WorkTray() {
  const all = useWorks();
  const now = useTick(all.some((work) => work.state === 'running'));
  const shown = all.filter(
    (work) =>
      (work.state === 'running' && now - work.startedMs > 400) ||
      work.state === 'failed' ||
      (isWorthTelling(work.name) &&
        work.state !== 'running' &&
        work.endedMs !== null &&
        now - work.endedMs < 4000 &&
        work.endedMs - work.startedMs > 1500),
  );
  if (shown.length === 0) return null;
  return (
    <section className="tray" aria-label="Long work">
      {shown.map((work) => (
        <WorkSlip key={work.id} work={work} now={now} />
      ))}
    </section>
  );
}

function WorkSlip({ work, now }: { readonly work: Work; readonly now: number }) {
  const seconds = ((work.endedMs ?? now) - work.startedMs) / 1000;
  const share = work.total > 0 ? Math.min(1, work.done / work.total) : null;
  const running = work.state === 'running';
  const name = workName(work.name, work.words);
  const named = name.toLowerCase() !== work.words.toLowerCase();
  return (
    <div className="tray-slip">
      <p>
        <span className="strong">{name}</span>
        <span className="second tray-time">
          {running && share !== null ? `${percent(share * 100, 0)} · ` : ''}
          {duration(seconds)}
        </span>
      </p>
      {running && (
        <div
          className="tray-rule"
          role="progressbar"
          aria-label={name}
          aria-valuemin={0}
          aria-valuemax={100}
          {...(share === null ? {} : { 'aria-valuenow': Math.round(share * 100) })}
        >
          <div
            className={share === null ? 'unknown' : ''}
            style={{ width: share === null ? '30%' : `${share * 100}%` }}
          />
        </div>
      )}
      <p className="caption">
        {running
          ? named && work.words
          : work.state === 'failed'
            ? (work.problem?.message ?? 'Failed.')
            : work.state === 'cancelled'
              ? 'Cancelled.'
              : 'Done.'}
      </p>
      {running ? (
        <button type="button" className="word" onClick={() => works.cancel(work.id)}>
          Cancel
        </button>
      ) : (
        <button type="button" className="word" onClick={() => works.dismiss(work.id)}>
          Put away
        </button>
      )}
    </div>
  );
}

/** The clock of the slips, ticking while something runs and a little after. */
function useTick(running: boolean): number {
  const [now, setNow] = useState(() => performance.now());
  useEffect(() => {
    setNow(performance.now());
    const timer = setInterval(() => setNow(performance.now()), 250);
    if (running) return () => clearInterval(timer);
    const end = setTimeout(() => clearInterval(timer), 5000);
    return () => {
      clearInterval(timer);
      clearTimeout(end);
    };
  }, [running]);
  return now;
}
