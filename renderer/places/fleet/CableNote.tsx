import { type KeyboardEvent, useEffect, useRef, useState } from 'react';
import type { SegmentField, SegmentPage } from '../../../core/contract/asks/segment.ts';
import { MarginNote } from '../../parts/MarginNotes.tsx';
import { furtherFacts } from '../../words/segment.ts';
import { editedFields } from '../../words/segmentFields.ts';
import { useUnits } from '../settings.ts';
import { EditedWord } from './EditedWord.tsx';
import { RetireDialog } from './RetireDialog.tsx';

export interface Editing {
  readonly on: boolean;
  readonly set: (on: boolean) => void;
}

interface Props {
  readonly page: SegmentPage;
  /** null where nothing can be changed. */
  readonly editing: Editing | null;
}

/** The margin's note on the cable itself: facts, which can be edited where they stand. */
export function CableNote({ page, editing }: Props) {
  const units = useUnits();
  const [retiring, setRetiring] = useState(false);
  const opener = useRef<HTMLButtonElement>(null);
  const on = editing?.on ?? false;
  const was = useRef(on);
  useEffect(() => {
    if (was.current && !on) opener.current?.focus();
    was.current = on;
  }, [on]);
  return (
    <MarginNote title="The cable">
      {editing && on ? (
        <CableForm page={page} onLeave={() => editing.set(false)} />
      ) : (
        furtherFacts(page, units).map((line) => <p key={line}>{line}</p>)
      )}
      {editing && !on && (
        <p className="no-print">
          <button type="button" className="word" ref={opener} onClick={() => editing.set(true)}>
            edit
          </button>
          {page.retiredOn === null && (
            <>
              {' · '}
              <button type="button" className="word" onClick={() => setRetiring(true)}>
                retire…
              </button>
            </>
          )}
        </p>
      )}
      {retiring && <RetireDialog page={page} onClose={() => setRetiring(false)} />}
    </MarginNote>
  );
}

function CableForm({ page, onLeave }: { readonly page: SegmentPage; readonly onLeave: () => void }) {
  const [active, setActive] = useState<SegmentField | null>(null);
  const list = useRef<HTMLDListElement>(null);
  useEffect(() => list.current?.querySelector('button')?.focus(), []);
  const onKeyDown = (event: KeyboardEvent): void => {
    if (event.key !== 'Escape') return;
    event.stopPropagation();
    if (active === null) onLeave();
    else setActive(null);
  };
  const shown = editedFields.filter(({ field }) => field !== 'retired_on' || page.retiredOn !== null);
  return (
    // biome-ignore lint/a11y/noStaticElementInteractions: Escape leaves from wherever the focus is within
    <div className="cable-form" onKeyDown={onKeyDown}>
      <dl ref={list}>
        {shown.map((each) => (
          <EditedWord
            key={each.field}
            of={each}
            page={page}
            active={active === each.field}
            onActive={(to) => setActive(to ? each.field : null)}
          />
        ))}
      </dl>
      <p>
        <button type="button" className="word" onClick={onLeave}>
          done
        </button>
      </p>
    </div>
  );
}
