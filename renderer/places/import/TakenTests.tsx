import type { OutputOf } from '../../../core/contract/asks/index.ts';
import { count } from '../../words/numbers.ts';
import { hrefOf } from '../route.ts';

/** What was just taken in, each test a way to its segment. */
export function TakenTests({ taken }: { readonly taken: OutputOf<'records.accept'> }) {
  if (taken.tests.length === 0) return null;
  return (
    <p className="taken" role="status">
      Taken in: {count(taken.accepted, 'file')} as {count(taken.tests.length, 'test')}, one entry of the ledger:{' '}
      {taken.tests.slice(0, 12).map((test, at) => (
        <span key={test.id}>
          {at > 0 && ', '}
          <a href={hrefOf('fleet', test.segmentId)}>{test.segment}</a> {test.phases}
        </span>
      ))}
      {taken.tests.length > 12 && ` and ${taken.tests.length - 12} more`}.
    </p>
  );
}
