import { useEffect } from 'react';
import { makeRanking, ProblemError } from '../../client/index.ts';
import { queries } from '../asking.ts';
import './behind.css';

/** Says that what is shown of the ranking is from before the last change, and has it made again. */
export function Behind({ revision, readOnly }: { readonly revision: number; readonly readOnly: boolean }) {
  useEffect(() => {
    if (!readOnly) void makeAgain(revision);
  }, [revision, readOnly]);
  return (
    <p className="behind" role="status">
      Growth, forecast and ranking are as of before the last change; they are being made again.
    </p>
  );
}

/** Revisions for which it was cancelled, or failed: not begun again by itself. */
const left = new Set<number>();

async function makeAgain(revision: number): Promise<void> {
  if (left.has(revision)) return;
  try {
    await makeRanking();
    await queries.invalidateQueries();
  } catch (error) {
    if (!(error instanceof ProblemError)) throw error;
    left.add(revision);
  }
}
