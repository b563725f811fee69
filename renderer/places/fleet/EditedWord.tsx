import { type FormEvent, useEffect, useId, useRef, useState } from 'react';
import type { SegmentPage } from '../../../core/contract/asks/segment.ts';
import { ask } from '../../client/index.ts';
import { asProblem } from '../../parts/asProblem.ts';
import { type EditedField, earlierWords, isNowWords, valueWords } from '../../words/segmentFields.ts';
import { useAsk } from '../asking.ts';
import { useUnits } from '../settings.ts';
import { FieldEntry } from './FieldEntry.tsx';
import { sayWritten } from './takeBack.ts';

interface Props {
  readonly of: EditedField;
  readonly page: SegmentPage;
  readonly active: boolean;
  readonly onActive: (active: boolean) => void;
}

/** One fact as a word with a dotted underline; it opens where it stands, with what it was before. */
export function EditedWord({ of, page, active, onActive }: Props) {
  const word = useRef<HTMLButtonElement>(null);
  const was = useRef(active);
  useEffect(() => {
    const nowhere = document.activeElement === null || document.activeElement === document.body;
    if (was.current && !active && nowhere) word.current?.focus();
    was.current = active;
  }, [active]);
  const typed = of.typed(page);
  return (
    <>
      <dt>{of.label}</dt>
      <dd>
        {active ? (
          <Entry of={of} page={page} onLeave={() => onActive(false)} />
        ) : (
          <button
            type="button"
            ref={word}
            className={typed === '' ? 'filter-word second' : 'filter-word'}
            aria-label={`${of.label}: ${valueWords(typed)}`}
            onClick={() => onActive(true)}
          >
            {valueWords(typed)}
          </button>
        )}
      </dd>
    </>
  );
}

function Entry({ of, page, onLeave }: { of: EditedField; page: SegmentPage; onLeave: () => void }) {
  const units = useUnits();
  const [value, setValue] = useState(of.typed(page));
  const [wrong, setWrong] = useState<string | null>(null);
  const history = useAsk('ledger.ofRecord', { entity: 'segment', id: page.id });
  const saysId = useId();
  const earlier = history.data ? earlierWords(of, history.data.versions, units) : [];
  const keep = async (event: FormEvent): Promise<void> => {
    event.preventDefault();
    try {
      const answer = await ask('segment.edit', { segmentId: page.id, field: of.field, value });
      onLeave();
      if (answer.line === null) return;
      sayWritten([isNowWords(page.name, of, value), ...answer.remarks].join(' '), answer.line);
    } catch (error) {
      setWrong(asProblem(error).message);
    }
  };
  return (
    <form className="cable-entry" onSubmit={(event) => void keep(event)}>
      <FieldEntry of={of} value={value} onValue={setValue} describedBy={saysId} label={of.label} first />
      <div id={saysId}>
        {wrong !== null && (
          <p className="caution" role="alert">
            {wrong}
          </p>
        )}
        {earlier.map((line) => (
          <p key={line} className="second">
            {line}
          </p>
        ))}
      </div>
      <p>
        <button type="submit" className="word">
          save
        </button>{' '}
        ·{' '}
        <button type="button" className="word" onClick={onLeave}>
          leave
        </button>
      </p>
    </form>
  );
}
