import type { ReactNode } from 'react';
import './margin.css';

/** The margin of a page: why, what it means, sources, cautions. It stands at the right, or folds under the sentence. */
export function MarginNotes({ children }: { readonly children: ReactNode }) {
  return (
    <aside className="margin" aria-label="Margin notes">
      {children}
    </aside>
  );
}

interface NoteProps {
  /** The numeral in the sentence that leads here. */
  readonly number?: number;
  readonly title: string;
  readonly caution?: boolean;
  readonly children: ReactNode;
}

export function MarginNote({ number, title, caution = false, children }: NoteProps) {
  return (
    <section
      className={caution ? 'margin-note caution' : 'margin-note'}
      {...(number === undefined ? {} : { id: `note-${number}`, tabIndex: -1 })}
    >
      <h3>{number === undefined ? title : `${number} · ${title}`}</h3>
      {children}
    </section>
  );
}
