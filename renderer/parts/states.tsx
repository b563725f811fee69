import { type ReactNode, useEffect, useState } from 'react';
import { asProblem } from './asProblem.ts';
import './states.css';

/** Shown while something is read; says nothing for the first moment, so that quick answers do not flicker. */
export function Waiting({ words = 'Reading…' }: { readonly words?: string }) {
  const [late, setLate] = useState(false);
  useEffect(() => {
    const timer = setTimeout(() => setLate(true), 200);
    return () => clearTimeout(timer);
  }, []);
  return (
    <p className="waiting" role="status">
      {late ? words : '\u00a0'}
    </p>
  );
}

/** Over an answer that a change has overtaken, until the new one is here: what is shown is as it was before. */
export function Renewing({ on }: { readonly on: boolean }) {
  return (
    <p className="renewing no-print" role="status" data-on={on || undefined}>
      {on ? 'Being brought up to date…' : ''}
    </p>
  );
}

/** What was refused or went wrong, in words, with a way out. */
export function Failed({ error, again }: { readonly error: unknown; readonly again?: () => void }) {
  const problem = asProblem(error);
  return (
    <div className="failed" role="alert">
      <p className="failed-says">{problem.message}</p>
      {problem.where && <p className="second">{problem.where}</p>}
      {problem.details && problem.details.length > 0 && (
        <details>
          <summary>Details</summary>
          <ul>
            {problem.details.map((line) => (
              <li key={line}>{line}</li>
            ))}
          </ul>
        </details>
      )}
      {again && (
        <p>
          <button type="button" className="word" onClick={again}>
            Try again
          </button>
        </p>
      )}
    </div>
  );
}

/** An empty place that teaches: what will stand here, and how to begin. */
export function Empty({ title, children }: { readonly title: string; readonly children: ReactNode }) {
  return (
    <div className="empty">
      <h2>{title}</h2>
      {children}
    </div>
  );
}
