import { useEffect, useState } from 'react';
import { makeRanking, ProblemError } from '../../client/index.ts';
import { queries } from '../asking.ts';
import './behind.css';

/** Says that what is shown of the ranking is from before the last change, and has it made again. */
export function Behind({ revision }: { readonly revision: number }) {
  /** The revision for which it was cancelled, or failed: not begun again by itself. */
  const [stopped, setStopped] = useState<number | null>(null);
  const isStopped = stopped === revision;
  useEffect(() => {
    if (isStopped) return;
    let here = true;
    void makeAgain().then((made) => {
      if (!made && here) setStopped(revision);
    });
    return () => {
      here = false;
    };
  }, [revision, isStopped]);
  return (
    <p className="behind" role="status">
      Growth, forecast and ranking are as of before the last change
      {isStopped ? (
        <>
          .{' '}
          <button type="button" className="word" onClick={() => setStopped(null)}>
            make them again
          </button>
        </>
      ) : (
        '; they are being made again.'
      )}
    </p>
  );
}

async function makeAgain(): Promise<boolean> {
  try {
    await makeRanking();
    await queries.invalidateQueries();
    return true;
  } catch (error) {
    if (error instanceof ProblemError) return false;
    throw error;
  }
}
