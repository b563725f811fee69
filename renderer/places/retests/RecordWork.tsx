import { useId, useState } from 'react';
import type { InputOf } from '../../../core/contract/asks/index.ts';
import { ask } from '../../client/index.ts';
import { DayLine } from '../../parts/Day.tsx';
import { FormDialog } from '../../parts/FormDialog.tsx';
import { TextField } from '../../parts/TextField.tsx';
import { say } from '../../parts/toast.ts';
import { isDay } from '../../words/dates.ts';
import { inWords } from '../../words/labels.ts';
import type { Brief } from '../../words/retest.ts';
import { workAbout, workRecorded } from '../../words/retestForms.ts';
import { lengthUnit } from '../../words/units.ts';
import { useUnits } from '../settings.ts';

type Work = InputOf<'retest.recordIntervention'>;

const kinds: readonly Work['kind'][] = [
  'splice_added',
  'splice_renewed',
  'section_replaced',
  'fluid_injected',
  'termination_remade',
];
const spliceKinds = ['taped', 'heat_shrink', 'cold_shrink', 'premoulded', 'transition'] as const;
type SpliceKind = (typeof spliceKinds)[number];

const metresPerFoot = 0.3048;

/** What was done to the cable: from that day its readings are a new era. */
export function RecordWork({ brief, onClose }: { readonly brief: Brief; readonly onClose: () => void }) {
  const units = useUnits();
  const [on, setOn] = useState(brief.on);
  const [kind, setKind] = useState<Work['kind'] | ''>('');
  const [at, setAt] = useState('');
  const [splice, setSplice] = useState<SpliceKind | ''>('');
  const [note, setNote] = useState('');
  const id = useId();
  const added = kind === 'splice_added';
  const ready = kind !== '' && isDay(on) && (at === '' || Number(at) >= 0);
  const record = async (): Promise<void> => {
    if (kind === '') return;
    const metres = at.trim() === '' ? null : Number(at) * (units === 'us' ? metresPerFoot : 1);
    await ask('retest.recordIntervention', {
      segmentId: brief.segmentId,
      doneOn: on,
      kind,
      note: note.trim() === '' ? null : note.trim(),
      splice: added ? { positionM: metres, phase: null, kind: splice === '' ? null : splice } : null,
    });
    say(workRecorded(brief.name, on));
  };
  return (
    <FormDialog
      title={`Work done on ${brief.name}`}
      about={workAbout}
      submit="Record it"
      ready={ready}
      onSubmit={record}
      onClose={onClose}
    >
      <div className="form form-gap">
        <DayLine label="Done on" value={on} onValue={setOn} />
        <label htmlFor={`${id}kind`}>What was done</label>
        <select
          id={`${id}kind`}
          className="field"
          value={kind}
          onChange={(event) => setKind(event.target.value as Work['kind'] | '')}
        >
          <option value="">choose</option>
          {kinds.map((each) => (
            <option key={each} value={each}>
              {inWords(each)}
            </option>
          ))}
        </select>
        {added && (
          <>
            <TextField
              label={`The new splice at, ${lengthUnit(units)}`}
              value={at}
              onValue={setAt}
              inputMode="decimal"
            />
            <label htmlFor={`${id}splice`}>Its kind</label>
            <select
              id={`${id}splice`}
              className="field"
              value={splice}
              onChange={(event) => setSplice(event.target.value as SpliceKind | '')}
            >
              <option value="">not recorded</option>
              {spliceKinds.map((each) => (
                <option key={each} value={each}>
                  {inWords(each)}
                </option>
              ))}
            </select>
          </>
        )}
        <TextField label="Note" value={note} onValue={setNote} maxLength={2000} />
      </div>
    </FormDialog>
  );
}
