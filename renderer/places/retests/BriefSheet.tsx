import { useState } from 'react';
import type { InputOf } from '../../../core/contract/asks/index.ts';
import { ask } from '../../client/index.ts';
import { MarginNote, MarginNotes } from '../../parts/MarginNotes.tsx';
import { Failed, Waiting } from '../../parts/states.tsx';
import { useLetters } from '../../parts/useLetters.ts';
import { PageStrip } from '../../parts/YearStrip.tsx';
import { type Brief, briefWhere } from '../../words/retest.ts';
import type { UnitSystem } from '../../words/units.ts';
import { save } from '../acts.ts';
import { useAsk } from '../asking.ts';
import { type CableDrawn, CableRun } from '../fleet/CableRun.tsx';
import { hrefOf } from '../route.ts';
import { useUnits } from '../settings.ts';
import { BriefConditions } from './BriefConditions.tsx';
import { BriefTests } from './BriefTests.tsx';
import { Cubicle, type TypedReadings } from './Cubicle.tsx';
import { Expected } from './Expected.tsx';
import { type Recorded, RecordTest } from './RecordTest.tsx';
import { RecordWork } from './RecordWork.tsx';
import { Alternatives, VoltageSaid } from './VoltageSaid.tsx';

export type Conditions = Omit<InputOf<'retest.brief'>, 'segment'>;

/** One sheet for the crew: what was measured, what may be applied, what to expect, when to stop, what comes after. */
export function BriefSheet({ segment, readOnly }: { readonly segment: string; readonly readOnly: boolean }) {
  const [conditions, setConditions] = useState<Conditions>({});
  const asked = useAsk('retest.brief', { segment, ...conditions }, { keep: true });
  if (asked.isError)
    return (
      <div className="sheet sheet-plain">
        <Failed error={asked.error} again={() => void asked.refetch()} />
        <p>
          <a href={hrefOf('retests')}>All tests due</a>
        </p>
      </div>
    );
  if (!asked.data)
    return (
      <div className="sheet sheet-plain">
        <Waiting words="Writing the brief…" />
      </div>
    );
  return <Sheet brief={asked.data} conditions={conditions} onConditions={setConditions} readOnly={readOnly} />;
}

interface SheetProps {
  readonly brief: Brief;
  readonly conditions: Conditions;
  readonly onConditions: (conditions: Conditions) => void;
  readonly readOnly: boolean;
}

function Sheet({ brief, conditions, onConditions, readOnly }: SheetProps) {
  const units = useUnits();
  const [form, setForm] = useState<'test' | 'work' | null>(null);
  const [typed, setTyped] = useState<TypedReadings>({});
  const [recorded, setRecorded] = useState<Recorded | null>(null);
  const awaits = recorded !== null && brief.revision < recorded.revision;
  const paper = units === 'us' ? 'Letter' : 'A4';
  useLetters({
    p: () => void savePdf(brief, conditions, paper, units),
    v: () => focusLabelled('Test voltage, kV DC'),
    c: () => focusLabelled('Temperature of the insulation'),
    j: () => focusLabelled('Reading of phase'),
    ...(readOnly ? {} : { t: () => setForm('test'), w: () => setForm('work') }),
  });
  const list = (lines: readonly { readonly says: string; readonly source: string }[]) => (
    <ul>
      {lines.map((line) => (
        <li key={line.says} title={line.source}>
          {line.says}
        </li>
      ))}
    </ul>
  );
  return (
    <article className={awaits ? 'sheet with-margin brief former' : 'sheet with-margin brief'} aria-busy={awaits}>
      <div className="page-head">
        <div className="brief-top">
          <h1>{brief.name}</h1>
          <span className="second no-print">
            <a href={hrefOf('retests')}>all tests due</a> · <a href={hrefOf('fleet', brief.segmentId)}>its page</a>
          </span>
        </div>
        <p className="where">{briefWhere(brief, units)}</p>
        {awaits && (
          <p className="recorded" role="status">
            {recorded.words}
          </p>
        )}
        <p className="say">{brief.sentence}</p>
        <BriefConditions brief={brief} conditions={conditions} onConditions={onConditions} />
      </div>
      <MarginNotes below={960} titles={['Stop when', 'Before', 'After the voltage is off', 'Checklist']}>
        <MarginNote title="Stop when" caution>
          {list(brief.stop)}
        </MarginNote>
        <MarginNote title="Before, and whatever else holds here" caution>
          {list(brief.cautions)}
        </MarginNote>
        <MarginNote title="After the voltage is off" caution>
          <p>{brief.earthing.says}</p>
          {list(brief.discharge)}
        </MarginNote>
        <MarginNote title="Checklist" stays>
          <ul>
            {brief.checklist.map((line) => (
              <li key={line.item}>
                <span className="strong">{line.item}:</span> {line.says}
              </li>
            ))}
          </ul>
        </MarginNote>
        <MarginNote title="Due">
          <p>
            {brief.due.known
              ? `${brief.due.dueOn}, ${brief.due.state}, by ${brief.due.rule}: ${brief.due.because}.`
              : `Not told: ${brief.due.because}.`}
          </p>
        </MarginNote>
        <MarginNote title="What the sheet is" stays>
          <p>{brief.footer}</p>
        </MarginNote>
      </MarginNotes>
      <div className="page-body">
        <VoltageSaid brief={brief} />
        <Expected brief={brief} />
        {!brief.voltage.advised && <Alternatives brief={brief} />}
        <div className="actions brief-acts no-print">
          <button
            type="button"
            className="button first"
            aria-keyshortcuts="p"
            onClick={() => void savePdf(brief, conditions, paper, units)}
          >
            Sheet as PDF, {paper} <kbd>P</kbd>
          </button>
          <button
            type="button"
            className="button"
            onClick={() => void savePdf(brief, conditions, paper === 'A4' ? 'Letter' : 'A4', units)}
          >
            {paper === 'A4' ? 'Letter' : 'A4'}
          </button>
          {!readOnly && (
            <>
              <button type="button" className="button" aria-keyshortcuts="t" onClick={() => setForm('test')}>
                Record this test… <kbd>T</kbd>
              </button>
              <button type="button" className="button" aria-keyshortcuts="w" onClick={() => setForm('work')}>
                Work done… <kbd>W</kbd>
              </button>
              <span className="caption">
                The tester’s files go in by <a href={hrefOf('import')}>Import</a>.
              </span>
            </>
          )}
        </div>
        <Cubicle brief={brief} typed={typed} onTyped={setTyped} />
        {brief.voltage.advised && <Alternatives brief={brief} />}
        <PageStrip strip={brief.strip} />
        <BriefTests brief={brief} />
        <CableRun page={cableOf(brief)} />
      </div>
      {form === 'test' && (
        <RecordTest brief={brief} typed={typed} onRecorded={setRecorded} onClose={() => setForm(null)} />
      )}
      {form === 'work' && <RecordWork brief={brief} onClose={() => setForm(null)} />}
    </article>
  );
}

/** Puts the caret into the first field whose label begins so. */
function focusLabelled(label: string): void {
  const field = document.querySelector<HTMLInputElement>(`main input[aria-label^="${label}"]`);
  field?.focus();
  field?.select();
}

/** The cable of the brief as its drawing takes it. */
const cableOf = (brief: Brief): CableDrawn => ({
  ...brief,
  splices: brief.splices.map(({ removed, ...splice }) => ({ ...splice, removedOn: removed ? 'taken out' : null })),
  terminations: brief.terminations.map((each) => ({ ...each, removedOn: null })),
});

const savePdf = (brief: Brief, c: Conditions, paper: 'A4' | 'Letter', units: UnitSystem): Promise<void> =>
  save(
    `brief-${brief.ownerId}.pdf`,
    'file',
    (pdf) => ask('retest.sheet', { segment: brief.segmentId, paper, units, pdf, ...c }),
    'The sheet is written.',
  );
