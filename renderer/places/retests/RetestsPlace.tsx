import { Empty } from '../../parts/states.tsx';
import { hrefOf } from '../route.ts';

export function RetestsPlace({ segmentId }: { readonly segmentId: string | null }) {
  return (
    <div className="sheet-scroll">
      <article className="sheet sheet-plain">
        <h1>Retests</h1>
        <Empty title="No brief can be written here yet">
          <p>
            A brief will say what was measured, what the standards allow on a cable of this age, and the reading to
            expect today. Until then{' '}
            {segmentId === null ? (
              'a segment’s page holds'
            ) : (
              <a href={hrefOf('fleet', segmentId)}>the segment’s page holds</a>
            )}{' '}
            every reading.
          </p>
        </Empty>
      </article>
    </div>
  );
}
