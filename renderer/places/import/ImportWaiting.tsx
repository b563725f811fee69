import { useSyncExternalStore } from 'react';
import { works } from '../../client/index.ts';
import { filesRead, rowsTaken } from '../../words/importing.ts';

/** The import at work, in its place; the slip at the foot shows the same. */
export function ImportWaiting({ what, onStop }: { readonly what: 'reading' | 'writing'; readonly onStop: () => void }) {
  const list = useSyncExternalStore(works.subscribe, works.list);
  const work = list.find((each) => each.name === 'fleet.import' && each.state === 'running');
  return (
    <div className="import-waiting" role="status">
      <p>{what === 'reading' ? filesRead : rowsTaken}</p>
      <p className="second">{work?.words ?? '\u00a0'}</p>
      <p>
        <button type="button" className="word" onClick={onStop}>
          Cancel
        </button>
      </p>
    </div>
  );
}
