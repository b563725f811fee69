import type { InputOf } from '../../../core/contract/asks/index.ts';
import type { PreviewedFile } from '../../../core/contract/shapes/records.ts';
import { sureness, verdictLine } from '../../words/records.ts';
import { HowItWasRead } from './HowItWasRead.tsx';
import { SegmentChoice } from './SegmentChoice.tsx';
import { type Choice, correctable, missing } from './useRecords.ts';

interface Props {
  readonly file: PreviewedFile;
  readonly choice: Choice;
  readonly given: Pick<InputOf<'records.preview'>, 'paths' | 'aside'>;
  readonly open: boolean;
  readonly busy: boolean;
  readonly onOpen: (open: boolean) => void;
  readonly onSay: (words: Partial<Choice>) => void;
  readonly onAside: (reason: string) => void;
  readonly onAgain: () => Promise<void>;
}

/** One file: whose it is, and what it says; its name opens how it was read. */
export function TesterFile(props: Props) {
  const { file, choice, open, onOpen, onSay } = props;
  const takeable = file.verdict === 'new';
  const segment = [...file.candidates, ...choice.found].find((each) => each.segmentId === choice.segmentId);
  const lacks = missing(choice);
  const earlier = correctable(file, choice);
  return (
    <>
      <tr className={open ? 'open' : ''} data-verdict={file.verdict}>
        <td className="left">
          {takeable && (
            <input
              type="checkbox"
              aria-label={`Take in ${file.name}`}
              checked={choice.chosen}
              onChange={(event) => onSay({ chosen: event.target.checked })}
            />
          )}
        </td>
        <td className="left file-name">
          <button type="button" className="word" aria-expanded={open} onClick={() => onOpen(!open)}>
            {file.name}
          </button>
        </td>
        {takeable ? (
          <>
            <td className="left">
              <SegmentChoice file={file} choice={choice} onSay={onSay} />
              {segment && <span className="caption"> {sureness(segment.score)}</span>}
            </td>
            <td className="left">
              <select
                className="field"
                aria-label={`Phase of ${file.name}`}
                title={file.phaseBecause ?? undefined}
                value={choice.phase ?? ''}
                onChange={(event) => onSay({ phase: (event.target.value || null) as Choice['phase'] })}
              >
                <option value="">?</option>
                {[...(segment?.phases ?? 'ABC')].map((phase) => (
                  <option key={phase}>{phase}</option>
                ))}
              </select>
            </td>
            <td className="left">
              <input
                type="date"
                className="field"
                aria-label={`Day of ${file.name}`}
                value={choice.testedOn ?? ''}
                onChange={(event) => onSay({ testedOn: event.target.value || null })}
              />
            </td>
            <td className="left says">
              {file.reading && verdictLine(file.reading)}
              {choice.chosen && lacks.length > 0 && <span className="caution"> · say its {lacks.join(', ')}</span>}
              {earlier && choice.chosen && (
                <select
                  className="field"
                  aria-label={`What ${file.name} is to test ${earlier.testOwnerId}`}
                  value={choice.corrects ? 'correction' : 'own'}
                  onChange={(event) => onSay({ corrects: event.target.value === 'correction' })}
                >
                  <option value="own">a test of its own</option>
                  <option value="correction">corrects {earlier.testOwnerId}</option>
                </select>
              )}
              {file.warnings.length > 0 && (
                <span className="file-warning">
                  {' '}
                  · {file.warnings[0]}
                  {file.warnings.length > 1 ? ` (+${file.warnings.length - 1})` : ''}
                </span>
              )}
            </td>
          </>
        ) : (
          <td className="left says" colSpan={4}>
            {file.verdict === 'known' && <span className="second">In the fleet already as {file.because}.</span>}
            {file.verdict === 'twice' && <span className="second">Not counted: {file.because}.</span>}
            {file.verdict === 'refused' && (
              <>
                <span className="caution">Cannot be read:</span> {file.because}
                {file.aside !== null && <span className="second"> · set aside</span>}
              </>
            )}
          </td>
        )}
      </tr>
      {open && (
        <tr className="readings">
          <td colSpan={6}>
            <HowItWasRead {...props} />
          </td>
        </tr>
      )}
    </>
  );
}
