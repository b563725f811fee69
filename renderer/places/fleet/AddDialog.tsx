import { useId, useState } from 'react';
import type { InputOf } from '../../../core/contract/asks/index.ts';
import { ask } from '../../client/index.ts';
import { FormDialog } from '../../parts/FormDialog.tsx';
import { addedWords } from '../../words/fleetForms.ts';
import { useAsk } from '../asking.ts';
import { go } from '../route.ts';
import { NewSegmentFields, named, type Typed } from './NewSegmentFields.tsx';
import { sayWritten } from './takeBack.ts';

interface Props {
  /** The feeder to begin with. */
  readonly feederId: string | null;
  readonly onClose: () => void;
}

/** A segment by hand, under a feeder that is there. */
export function AddDialog({ feederId, onClose }: Props) {
  const places = useAsk('ranking.choices', {}).data?.substations ?? [];
  const feeders = useAsk('ranking.feeders', {}).data?.feeders ?? [];
  const [feeder, setFeeder] = useState(feederId ?? '');
  const [typed, setTyped] = useState<Typed>({ ownerId: '', values: {} });
  const id = useId();
  const add = async (): Promise<void> => {
    const answer = await ask('segment.add', { feederId: feeder as InputOf<'segment.add'>['feederId'], ...typed });
    sayWritten(addedWords(typed.values.name), answer.line);
    go('fleet', answer.segmentId);
  };
  return (
    <FormDialog
      title="A new segment"
      submit="Add it"
      ready={feeder !== '' && typed.ownerId.trim() !== ''}
      onSubmit={add}
      onClose={onClose}
      named={named}
      wide
    >
      <div className="form form-gap new-segment">
        <label htmlFor={`${id}feeder`}>Feeder</label>
        <select id={`${id}feeder`} className="field" value={feeder} onChange={(event) => setFeeder(event.target.value)}>
          <option value="">choose</option>
          {places.map((place) => (
            <optgroup key={place.id} label={place.name}>
              {feeders
                .filter((each) => each.substationId === place.id)
                .map((each) => (
                  <option key={each.id} value={each.id}>
                    {each.name}
                  </option>
                ))}
            </optgroup>
          ))}
        </select>
        <NewSegmentFields typed={typed} onTyped={setTyped} />
      </div>
    </FormDialog>
  );
}
