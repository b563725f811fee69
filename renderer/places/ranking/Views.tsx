import { useState } from 'react';
import type { RankingFilter } from '../../../core/contract/asks/ranking.ts';
import { FormDialog } from '../../parts/FormDialog.tsx';
import { TextField } from '../../parts/TextField.tsx';
import { say } from '../../parts/toast.ts';
import { WordFilter } from '../../parts/WordFilter.tsx';
import { takenOff, takeOffLabel, viewWords } from '../../words/ranking.ts';
import { dropView, type SavedView, saveView, useSavedViews } from './savedViews.ts';
import type { Sort } from './useRankingRows.ts';

interface Props {
  readonly fleet: string;
  readonly filter: RankingFilter;
  readonly sort: Sort;
  readonly hiddenColumns: readonly string[];
  readonly onView: (view: SavedView) => void;
}

const keepId = '\u0000keep';

/** Views that were named, and a way to name the one that is shown. */
export function Views({ fleet, filter, sort, hiddenColumns, onView }: Props) {
  const views = useSavedViews(fleet);
  const [naming, setNaming] = useState(false);
  const shown = JSON.stringify([filter, sort, hiddenColumns]);
  // A view kept before columns were part of it shows any.
  const here = views.find(
    (view) => JSON.stringify([view.filter, view.sort, view.hiddenColumns ?? hiddenColumns]) === shown,
  );
  return (
    <>
      <WordFilter
        label={viewWords.label}
        words={here?.name ?? viewWords.none}
        choices={[...views.map((view) => ({ id: view.name, name: view.name })), { id: keepId, name: viewWords.keep }]}
        chosen={here ? [here.name] : []}
        onChoose={([id]) => {
          if (id === keepId) setNaming(true);
          const view = views.find((each) => each.name === id);
          if (view) onView(view);
        }}
      />
      {naming && (
        <NameView fleet={fleet} view={{ filter, sort, hiddenColumns }} views={views} onClose={() => setNaming(false)} />
      )}
    </>
  );
}

interface NameProps {
  readonly fleet: string;
  readonly view: Omit<SavedView, 'name'>;
  readonly views: readonly SavedView[];
  readonly onClose: () => void;
}

function NameView({ fleet, view: shown, views, onClose }: NameProps) {
  const [name, setName] = useState('');
  return (
    <FormDialog
      title={viewWords.title}
      submit={viewWords.submit}
      ready={name.trim() !== ''}
      onSubmit={async () => saveView(fleet, { name: name.trim(), ...shown })}
      onClose={onClose}
    >
      <div className="form">
        <TextField label={viewWords.name} value={name} onValue={setName} maxLength={60} only />
      </div>
      {views.length > 0 && (
        <p className="caption form-gap">
          {viewWords.kept}{' '}
          {views.map((view) => (
            <span key={view.name}>
              {view.name}{' '}
              <button
                type="button"
                className="word"
                aria-label={takeOffLabel(view.name)}
                onClick={() => {
                  dropView(fleet, view.name);
                  say(takenOff(view.name), () => saveView(fleet, view));
                }}
              >
                {viewWords.takeOff}
              </button>
              {'  '}
            </span>
          ))}
        </p>
      )}
    </FormDialog>
  );
}
