import { type ReactNode, useEffect, useId, useState } from 'react';
import { useNarrow } from './useNarrow.ts';
import './margin.css';

interface Props {
  /** The titles of the notes, for the line they fold into where the window is narrow. */
  readonly titles: readonly string[];
  /** Folds in a window narrower than this, in pixels. */
  readonly below?: number;
  readonly children: ReactNode;
}

/**
 * The margin of a page: why, what it means, sources, cautions. It stands at the right. Where there is no room for it it
 * folds into a line under the sentence, which opens it; cautions stay in sight.
 */
export function MarginNotes({ titles, below, children }: Props) {
  const narrow = useNarrow(below);
  const [open, setOpen] = useState(false);
  const body = useId();
  useEffect(() => {
    const onOpen = () => setOpen(true);
    addEventListener(openNotes, onOpen);
    return () => removeEventListener(openNotes, onOpen);
  }, []);
  const folded = narrow && !open;
  return (
    <aside
      className="margin"
      aria-label="Margin notes"
      data-narrow={narrow || undefined}
      data-folded={folded || undefined}
    >
      {narrow && (
        <button
          type="button"
          className="margin-fold"
          aria-expanded={open}
          aria-controls={body}
          onClick={() => setOpen(!open)}
        >
          {open ? 'Fold the notes' : `Notes: ${titles.join(' · ')}`}
        </button>
      )}
      <div className="margin-body" id={body}>
        {children}
      </div>
    </aside>
  );
}

const openNotes = 'yearbook-open-notes';

/** Opens the notes where they are folded. */
export const openMargin = (): void => void dispatchEvent(new Event(openNotes));

/** Opens the notes where they are folded, then puts the focus on one of them. */
export function showNote(number: number): void {
  openMargin();
  requestAnimationFrame(() => {
    const target = document.getElementById(`note-${number}`);
    target?.scrollIntoView({ block: 'nearest' });
    target?.focus();
  });
}

interface NoteProps {
  /** The numeral in the sentence that leads here. */
  readonly number?: number;
  readonly title: string;
  /** In the colour of cautions. */
  readonly caution?: boolean;
  /** Is read where the other notes are folded; a caution always is. */
  readonly stays?: boolean;
  readonly children: ReactNode;
}

export function MarginNote({ number, title, caution = false, stays = caution, children }: NoteProps) {
  return (
    <section
      className={`margin-note${caution ? ' caution-note' : ''}${stays ? ' stays' : ''}`}
      {...(number === undefined ? {} : { id: `note-${number}`, tabIndex: -1 })}
    >
      <h2 className="note-title">{number === undefined ? title : `${number} · ${title}`}</h2>
      {children}
    </section>
  );
}
