import { type KeyboardEvent, useDeferredValue, useEffect, useId, useRef, useState } from 'react';
import type { OutputOf } from '../../../core/contract/asks/index.ts';
import { nothingCalledSo } from '../../words/frame.ts';
import { useAsk } from '../asking.ts';
import { revealFeeder } from '../fleet/openBranches.ts';
import { usePageAhead } from '../fleet/usePageAhead.ts';
import { go } from '../route.ts';
import { finderId } from './finderFocus.ts';

type Hit = OutputOf<'fleet.find'>['hits'][number];

/** Finds any segment, feeder or splice by a few letters, from anywhere (Ctrl+K). */
export function Finder() {
  const [text, setText] = useState('');
  const [open, setOpen] = useState(false);
  const [at, setAt] = useState(0);
  // Enter came before the answer to what is typed.
  const [waiting, setWaiting] = useState(false);
  const list = useId();
  const input = useRef<HTMLInputElement>(null);
  const wanted = useDeferredValue(text.trim());
  const found = useAsk('fleet.find', { text: wanted, count: 12 }, { enabled: open && wanted !== '', keep: true });
  const hits = wanted === '' ? [] : (found.data?.hits ?? []);
  const shown = open && text.trim() !== '';
  const answered = text.trim() === wanted && !found.isFetching && !found.isPlaceholderData;
  const chosen = shown && answered ? hits[at] : undefined;
  usePageAhead(chosen && chosen.kind !== 'feeder' ? chosen.id : null);
  const choose = (hit: Hit | undefined): void => {
    setWaiting(false);
    if (!hit) return;
    setOpen(false);
    setText('');
    input.current?.blur();
    if (hit.kind === 'feeder') {
      revealFeeder(hit.substationId, hit.feederId);
      go('fleet');
    } else go('fleet', hit.id);
  };
  useEffect(() => {
    if (waiting && answered) choose(hits[at]);
  });
  const onKeyDown = (event: KeyboardEvent): void => {
    if (event.key === 'ArrowDown') setAt(Math.max(0, Math.min(hits.length - 1, at + 1)));
    else if (event.key === 'ArrowUp') setAt(Math.max(0, at - 1));
    else if (event.key === 'Enter') setWaiting(text.trim() !== '');
    else if (event.key === 'Escape') {
      if (text === '') input.current?.blur();
      setText('');
      setOpen(false);
    } else return;
    event.preventDefault();
  };
  return (
    <div className="find">
      <div className="find-line">
        <input
          id={finderId}
          ref={input}
          role="combobox"
          aria-label="Find a segment, feeder or splice"
          aria-expanded={shown}
          aria-controls={list}
          aria-autocomplete="list"
          {...(shown && hits[at] ? { 'aria-activedescendant': `${list}-${at}` } : {})}
          placeholder="Find a segment, feeder, splice"
          autoComplete="off"
          spellCheck={false}
          value={text}
          maxLength={200}
          onChange={(event) => {
            setText(event.target.value);
            setAt(0);
            setWaiting(false);
            setOpen(true);
          }}
          onFocus={() => setOpen(true)}
          onBlur={() => {
            setOpen(false);
            setWaiting(false);
          }}
          onKeyDown={onKeyDown}
        />
        <kbd>Ctrl K</kbd>
      </div>
      <div
        className="find-list"
        id={list}
        role="listbox"
        aria-label="Found"
        aria-busy={!answered}
        hidden={!shown || hits.length === 0}
      >
        {hits.map((hit, index) => (
          // biome-ignore lint/a11y/useFocusableInteractive: focus stays in the field, which names the active hit
          // biome-ignore lint/a11y/useKeyWithClickEvents: the field handles the keys
          <div
            key={`${hit.kind} ${hit.id} ${hit.ownerId}`}
            id={`${list}-${index}`}
            role="option"
            className="find-hit"
            aria-selected={index === at}
            onPointerMove={() => setAt(index)}
            onPointerDown={(event) => event.preventDefault()}
            onClick={() => choose(hit)}
          >
            <span className="strong">{hit.name}</span>
            <span className="caption">{hit.kind}</span>
            <span className="second">{hit.where}</span>
          </div>
        ))}
      </div>
      {shown && hits.length === 0 && answered && (
        <p className="find-list find-none" role="status">
          {nothingCalledSo}
        </p>
      )}
    </div>
  );
}
