import { useState } from 'react';
import { ask } from '../../client/index.ts';
import { chosenWords, mostBriefs, roundWords } from '../../words/chosen.ts';
import { save } from '../acts.ts';
import { useAsk } from '../asking.ts';
import { dropChosen, useChosen } from '../chosen.ts';
import { hrefOf } from '../route.ts';
import { useUnits } from '../settings.ts';
import { ChangeDialog } from './ChangeDialog.tsx';

/** What can be done with the segments that are chosen; nothing is shown where none is. */
export function ChosenBar() {
  const readOnly = useAsk('fleet.info', {}).data?.readOnly ?? true;
  const chosen = [...useChosen().values()];
  const units = useUnits();
  const [changing, setChanging] = useState(false);
  const ids = chosen.map(({ id }) => id);
  const round = (): Promise<void> =>
    save(
      'round.pdf',
      'file',
      (pdf) => ask('retest.round', { segments: ids, pdf, units, paper: units === 'us' ? 'Letter' : 'A4' }),
      roundWords(ids.length),
    );
  const table = (): Promise<void> =>
    save(
      'segments.csv',
      'file',
      (csv) => ask('segment.table', { segmentIds: ids as never, csv }),
      `${chosenWords(ids.length)} written as CSV.`,
    );
  return (
    <div className="chosen-bar no-print" data-empty={ids.length === 0 || undefined}>
      <span role="status" className="strong">
        {ids.length === 0 ? '' : chosenWords(ids.length)}
      </span>
      {ids.length > 0 && (
        <ul aria-label="Do with the chosen">
          <li>
            <button
              type="button"
              className="word"
              disabled={ids.length > mostBriefs}
              title={ids.length > mostBriefs ? `A round holds ${mostBriefs} segments at most.` : undefined}
              onClick={() => void round()}
            >
              briefs as one PDF
            </button>
          </li>
          {ids.length === 2 && (
            <li>
              <a href={hrefOf('ranking', ids.join('+'))}>compare the two</a>
            </li>
          )}
          <li>
            <button type="button" className="word" onClick={() => void table()}>
              CSV
            </button>
          </li>
          {!readOnly && (
            <li>
              <button type="button" className="word" onClick={() => setChanging(true)}>
                change a field…
              </button>
            </li>
          )}
          <li>
            <button type="button" className="word" title="Esc in the tree" onClick={dropChosen}>
              let go
            </button>
          </li>
        </ul>
      )}
      {changing && <ChangeDialog chosen={chosen} onClose={() => setChanging(false)} />}
    </div>
  );
}
