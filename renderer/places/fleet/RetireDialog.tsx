import { useId, useState } from 'react';
import type { SegmentPage } from '../../../core/contract/asks/segment.ts';
import { ask } from '../../client/index.ts';
import { DayLine } from '../../parts/Day.tsx';
import { FormDialog } from '../../parts/FormDialog.tsx';
import { TextField } from '../../parts/TextField.tsx';
import { isDay } from '../../words/dates.ts';
import { retireAbout, retiredWords } from '../../words/fleetForms.ts';
import { newFields } from '../../words/segmentFields.ts';
import { useAsk } from '../asking.ts';
import { go } from '../route.ts';
import { NewSegmentFields, named, type Typed } from './NewSegmentFields.tsx';
import { sayWritten } from './takeBack.ts';

/** What a new cable in the old one's place has in common with it: where it lies and what it feeds, not what it is. */
const inherited: readonly string[] = [
  'length',
  'phases',
  'rated_kv',
  'installation',
  'from_point',
  'to_point',
  'customers',
  'alternate_supply',
  'critical_load',
];

const successorOf = (page: SegmentPage): Typed => ({
  ownerId: '',
  values: Object.fromEntries(
    newFields.filter(({ field }) => inherited.includes(field)).map(({ field, typed }) => [field, typed(page)]),
  ),
});

/** Out of service: its last day, why, and what lies in its place. */
export function RetireDialog({ page, onClose }: { readonly page: SegmentPage; readonly onClose: () => void }) {
  const today = useAsk('fleet.info', {}).data?.today ?? '';
  const [on, setOn] = useState(today);
  const [reason, setReason] = useState('');
  const [successor, setSuccessor] = useState<Typed | null>(null);
  const id = useId();
  const retire = async (): Promise<void> => {
    const answer = await ask('segment.retire', {
      segmentId: page.id,
      retiredOn: on,
      reason: reason.trim(),
      replacement: successor,
    });
    sayWritten(retiredWords(page.name, on), answer.line);
    if (answer.replacementId !== null) go('fleet', answer.replacementId);
  };
  return (
    <FormDialog
      title={`Retire ${page.name}`}
      about={retireAbout}
      submit="Retire it"
      ready={isDay(on) && reason.trim() !== ''}
      onSubmit={retire}
      onClose={onClose}
      named={named}
      wide={successor !== null}
    >
      <div className="form form-gap">
        <DayLine label="Last day in service" value={on} onValue={setOn} />
        <TextField label="Reason" value={reason} onValue={setReason} maxLength={2000} />
        <label htmlFor={`${id}new`}>A new segment takes its place</label>
        <input
          id={`${id}new`}
          type="checkbox"
          className="tick"
          checked={successor !== null}
          onChange={(event) => setSuccessor(event.target.checked ? successorOf(page) : null)}
        />
      </div>
      {successor && (
        <div className="form form-gap new-segment">
          <NewSegmentFields typed={successor} onTyped={setSuccessor} />
        </div>
      )}
    </FormDialog>
  );
}
