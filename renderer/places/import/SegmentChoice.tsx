import { useState } from 'react';
import type { PreviewedFile, SegmentCandidate } from '../../../core/contract/shapes/records.ts';
import { useAsk } from '../asking.ts';
import type { Choice } from './useRecords.ts';

interface Props {
  readonly file: PreviewedFile;
  readonly choice: Choice;
  readonly onSay: (words: Partial<Choice>) => void;
}

const another = 'another';

/** The candidates, best first, and a way to any other segment of the fleet. */
export function SegmentChoice({ file, choice, onSay }: Props) {
  const [finding, setFinding] = useState(false);
  const all = [...file.candidates, ...choice.found];
  if (finding)
    return (
      <FindSegment
        label={`Segment of ${file.name}`}
        onFound={(found) => {
          setFinding(false);
          if (found)
            onSay({
              segmentId: found.segmentId,
              found: all.some((each) => each.segmentId === found.segmentId) ? choice.found : [...choice.found, found],
            });
        }}
      />
    );
  return (
    <select
      className="field segment-choice"
      aria-label={`Segment of ${file.name}`}
      title={all.find((each) => each.segmentId === choice.segmentId)?.because.join('; ')}
      value={choice.segmentId ?? ''}
      onChange={(event) => {
        if (event.target.value === another) setFinding(true);
        else onSay({ segmentId: event.target.value || null });
      }}
    >
      <option value="">whose?</option>
      {all.map((each) => (
        <option key={each.segmentId} value={each.segmentId}>
          {each.name} ({each.ownerId})
        </option>
      ))}
      <option value={another}>another…</option>
    </select>
  );
}

function FindSegment({
  label,
  onFound,
}: {
  readonly label: string;
  readonly onFound: (found: SegmentCandidate | null) => void;
}) {
  const [text, setText] = useState('');
  const { data } = useAsk('fleet.find', { text, count: 8 }, { enabled: text.trim().length > 1, keep: true });
  const hits = text.trim().length > 1 ? (data?.hits.filter((hit) => hit.kind === 'segment') ?? []) : [];
  return (
    <span className="find-segment">
      <input
        className="field"
        aria-label={`Find the ${label.charAt(0).toLowerCase()}${label.slice(1)}`}
        placeholder="name or id"
        // biome-ignore lint/a11y/noAutofocus: the person just asked for it
        autoFocus
        value={text}
        onChange={(event) => setText(event.target.value)}
        onKeyDown={(event) => event.key === 'Escape' && onFound(null)}
      />
      {hits.map((hit) => (
        <button
          key={hit.id}
          type="button"
          className="word"
          onClick={() =>
            onFound({
              segmentId: hit.id as SegmentCandidate['segmentId'],
              ownerId: hit.ownerId,
              name: hit.name,
              feeder: hit.where,
              phases: 'ABC',
              score: 1,
              because: ['chosen by hand'],
              computedNf: { known: false, because: 'not compared' },
              capacitanceApart: null,
            })
          }
        >
          {hit.name} ({hit.ownerId})
        </button>
      ))}
      <button type="button" className="word" onClick={() => onFound(null)}>
        leave it
      </button>
    </span>
  );
}
