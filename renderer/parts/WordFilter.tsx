import { type Key, memo, useCallback, useEffect, useLayoutEffect, useMemo, useRef, useState } from 'react';
import { Button, Dialog, DialogTrigger, ListBox, ListBoxItem, Popover, type Selection } from 'react-aria-components';
import { whenIdle } from './idle.ts';
import './filter.css';

export interface Choice {
  readonly id: string;
  readonly name: string;
}

interface Props {
  /** What is chosen, as it stands in the sentence: 'every substation', 'XLPE and EPR'. */
  readonly words: string;
  readonly label: string;
  readonly choices: readonly Choice[];
  readonly chosen: readonly string[];
  readonly many?: boolean;
  /** The word for no filter; chosen alone. */
  readonly every?: string;
  readonly onChoose: (ids: string[]) => void;
  /** Reads what a choice would show, ahead, while a person looks at the few there are. */
  readonly readAhead?: (ids: string[]) => Promise<unknown>;
}

const everyId = 'every';

/**
 * A filter that is a word in a sentence, with a dotted underline; it opens where it stands. Heads hold many of them:
 * one that says the same as before is not drawn again, whatever becomes of the others.
 */
export function WordFilter(props: Props) {
  const latest = useRef(props);
  useLayoutEffect(() => {
    latest.current = props;
  });
  const onChoose = useCallback((ids: string[]) => latest.current.onChoose(ids), []);
  const readAhead = useCallback(async (ids: string[]) => latest.current.readAhead?.(ids), []);
  return <Word {...props} onChoose={onChoose} {...(props.readAhead ? { readAhead } : {})} />;
}

function saysTheSame(before: Props, now: Props): boolean {
  const { choices, chosen, ...rest } = now;
  return (
    Object.entries(rest).every(([key, value]) => before[key as keyof typeof rest] === value) &&
    chosen.length === before.chosen.length &&
    chosen.every((id, k) => id === before.chosen[k]) &&
    choices.length === before.choices.length &&
    choices.every(({ id, name }, k) => id === before.choices[k]!.id && name === before.choices[k]!.name)
  );
}

/** More choices than one sees at a glance: they can be searched, and are not read ahead. */
const longerThan = 12;

const Word = memo(function Word(props: Props) {
  const { words, label, choices, chosen, many = false, every, onChoose, readAhead } = props;
  const [open, setOpen] = useState(false);
  const [text, setText] = useState('');
  // Inside the page's landmark, not beside it.
  const main = open ? document.querySelector('main') : null;
  const long = choices.length > longerThan;
  const shown = useMemo(() => {
    const wanted = text.trim().toLowerCase();
    const fitting = wanted === '' ? choices : choices.filter((c) => c.name.toLowerCase().includes(wanted));
    return fitting.slice(0, 400);
  }, [choices, text]);
  const keys = chosen.length === 0 && every !== undefined ? [everyId] : chosen;
  const choose = (selection: Selection): void => {
    const ids: Key[] = selection === 'all' ? choices.map((c) => c.id) : [...selection];
    const added = ids.find((id) => !keys.includes(String(id)));
    // Choosing what is chosen already keeps it where there is no word for nothing.
    if (ids.length === 0 && every === undefined && !many) {
      setOpen(false);
      return;
    }
    if (added === everyId || ids.length === 0) onChoose([]);
    else onChoose(ids.filter((id) => id !== everyId).map(String));
    if (!many || added === everyId) setOpen(false);
  };
  useEffect(() => {
    if (!open || long || !readAhead) return;
    const others = choices.filter(({ id }) => !chosen.includes(id));
    const offered = others.map(({ id }) => (many ? [...chosen, id] : [id]));
    if (many) for (const id of chosen) offered.push(chosen.filter((each) => each !== id));
    if (every !== undefined) offered.unshift([]);
    return whenIdle(offered.map((ids) => () => readAhead(ids)));
  }, [open, long, many, every, choices, chosen, readAhead]);
  return (
    <DialogTrigger
      isOpen={open}
      onOpenChange={(next) => {
        setOpen(next);
        setText('');
      }}
    >
      <Button className="filter-word" aria-label={`${label}: ${words}`}>
        {words}
      </Button>
      <Popover
        className="filter-sheet"
        placement="bottom start"
        offset={4}
        {...(main ? { UNSTABLE_portalContainer: main } : {})}
      >
        <Dialog className="filter-dialog" aria-label={label}>
          {long && (
            <input
              className="field filter-text"
              aria-label={`Find in ${label.toLowerCase()}`}
              placeholder="Find"
              value={text}
              onChange={(event) => setText(event.target.value)}
            />
          )}
          <ListBox
            aria-label={label}
            className="filter-list"
            selectionMode={many ? 'multiple' : 'single'}
            escapeKeyBehavior="none"
            selectedKeys={keys}
            onSelectionChange={choose}
          >
            {every !== undefined && text === '' && (
              <ListBoxItem id={everyId} className="filter-item">
                {every}
              </ListBoxItem>
            )}
            {shown.map((choice) => (
              <ListBoxItem key={choice.id} id={choice.id} className="filter-item" textValue={choice.name}>
                {choice.name}
              </ListBoxItem>
            ))}
          </ListBox>
        </Dialog>
      </Popover>
    </DialogTrigger>
  );
}, saysTheSame);
