import type { Sentence } from '../words/sentence.ts';
import { showNote } from './MarginNotes.tsx';
import './say.css';

/** The sentence that opens a page. Its raised numerals lead to the margin notes. */
export function Say({ sentence }: { readonly sentence: Sentence }) {
  return (
    <p className="say">
      {sentence.map((piece, at) => {
        const key = at;
        if (typeof piece === 'string') return <span key={key}>{piece}</span>;
        if ('strong' in piece) return <b key={key}>{piece.strong}</b>;
        return <Numeral key={key} number={piece.note} />;
      })}
    </p>
  );
}

function Numeral({ number }: { readonly number: number }) {
  return (
    <button type="button" className="numeral" aria-label={`Note ${number}`} onClick={() => showNote(number)}>
      {number}
    </button>
  );
}
