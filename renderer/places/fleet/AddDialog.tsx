import { type FormEvent, useId, useState } from 'react';
import type { InputOf, OutputOf } from '../../../core/contract/asks/index.ts';
import type { Problem } from '../../../core/contract/problem.ts';
import { ask } from '../../client/index.ts';
import { asProblem } from '../../parts/asProblem.ts';
import { Modal } from '../../parts/Modal.tsx';
import { useAsk } from '../asking.ts';
import { go } from '../route.ts';
import { NewSegmentFields, NotTaken, type Typed } from './NewSegmentFields.tsx';
import { sayWritten } from './takeBack.ts';

interface Props {
  /** The feeder to begin with. */
  readonly feederId: string | null;
  readonly onClose: () => void;
}

/** A segment by hand, under a feeder that is there. */
export function AddDialog({ feederId, onClose }: Props) {
  const choices = useAsk('ranking.choices', {});
  const [feeder, setFeeder] = useState(feederId ?? '');
  const [typed, setTyped] = useState<Typed>({ ownerId: '', values: {} });
  const [problem, setProblem] = useState<Problem | null>(null);
  const id = useId();
  const ready = feeder !== '' && typed.ownerId.trim() !== '';
  const add = async (event: FormEvent): Promise<void> => {
    event.preventDefault();
    if (!ready) return;
    try {
      const answer = await ask('segment.add', { feederId: feeder as InputOf<'segment.add'>['feederId'], ...typed });
      onClose();
      if (answer.line !== null) sayWritten(`${typed.values.name} is in the fleet.`, answer.line);
      go('fleet', answer.segmentId);
    } catch (error) {
      setProblem(asProblem(error));
    }
  };
  return (
    <Modal title="A new segment" open onClose={onClose} wide>
      <form onSubmit={(event) => void add(event)}>
        <div className="form form-gap new-segment">
          <label htmlFor={`${id}feeder`}>Feeder</label>
          <select
            id={`${id}feeder`}
            className="field"
            value={feeder}
            onChange={(event) => setFeeder(event.target.value)}
          >
            <option value="">choose</option>
            {choices.data && <Feeders of={choices.data} />}
          </select>
          <NewSegmentFields typed={typed} onTyped={setTyped} />
        </div>
        <NotTaken problem={problem} />
        <div className="modal-acts">
          <button type="submit" className="button first" disabled={!ready}>
            Add it
          </button>
          <button type="button" className="button" onClick={onClose}>
            Leave it
          </button>
        </div>
      </form>
    </Modal>
  );
}

const Feeders = ({ of }: { readonly of: OutputOf<'ranking.choices'> }) =>
  of.substations.map((place) => (
    <optgroup key={place.id} label={place.name}>
      {of.feeders
        .filter((feeder) => feeder.substationId === place.id)
        .map((feeder) => (
          <option key={feeder.id} value={feeder.id}>
            {feeder.name}
          </option>
        ))}
    </optgroup>
  ));
