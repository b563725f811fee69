import { useId, useState } from 'react';
import type { OutputOf } from '../../../core/contract/asks/index.ts';
import { ask } from '../../client/index.ts';
import { asProblem } from '../../parts/asProblem.ts';
import { Say } from '../../parts/Say.tsx';
import { say } from '../../parts/toast.ts';
import { testerFilesHeads } from '../../words/heads.ts';
import { count } from '../../words/numbers.ts';
import { recordsOpening } from '../../words/records.ts';
import { ForTheChosen } from './ForTheChosen.tsx';
import { TakenTests } from './TakenTests.tsx';
import { TesterFile } from './TesterFile.tsx';
import { type Preview, useRecords } from './useRecords.ts';

interface Props {
  readonly preview: Preview;
  readonly paths: readonly string[];
  readonly aside: readonly string[];
  /** Looks at the same files again. */
  readonly onAgain: () => Promise<void>;
}

/** Two files may have the same bytes, and then the same key. */
const rowOf = (file: Preview['files'][number]): string => `${file.key} ${file.name}`;

type Taken = OutputOf<'records.accept'>;

/** Testers' files: how each was read, what it says, whose it may be; accepted or set aside several at a time. */
export function TesterFiles({ preview, paths, aside, onAgain }: Props) {
  const { choices, set, ready, accepted } = useRecords(preview);
  const [busy, setBusy] = useState(false);
  const [taken, setTaken] = useState<Taken | null>(null);
  const [open, setOpen] = useState<string | null>(null);
  const [reason, setReason] = useState('');
  const reasonField = useId();
  const corrects = accepted.some((file) => file.supersedes !== null);
  const given = { paths: [...paths], aside: aside as never[] };
  const fresh = preview.files.filter((file) => file.verdict === 'new');
  const rest = preview.files.filter(
    (file) => file.aside === null && (file.verdict === 'refused' || file.verdict === 'new'),
  );
  const unread = rest.filter((file) => file.verdict === 'refused');

  const during = async (work: () => Promise<void>): Promise<void> => {
    setBusy(true);
    try {
      await work();
    } catch (error) {
      const problem = asProblem(error);
      say(problem.message);
      if (problem.code === 'moved-on') await onAgain();
    } finally {
      setBusy(false);
    }
  };
  const accept = (): Promise<void> =>
    during(async () => {
      const answer = await ask('records.accept', {
        ...given,
        revision: preview.revision,
        files: accepted,
        ...(corrects ? { reason: reason.trim() } : {}),
      });
      setTaken((before) =>
        before
          ? { ...answer, accepted: before.accepted + answer.accepted, tests: [...before.tests, ...answer.tests] }
          : answer,
      );
      say(`${count(answer.accepted, 'file')} accepted as ${count(answer.tests.length, 'test')}.`);
      await onAgain();
    });
  const setAside = (files: readonly { key: string; reason: string }[]): Promise<void> =>
    during(async () => {
      const answer = await ask('records.return', { ...given, files: [...files] });
      say(`${count(answer.returned, 'file')} set aside; the bytes and the reason are kept.`);
      await onAgain();
    });
  return (
    <section aria-label="Testers’ files">
      <Say sentence={recordsOpening(preview.files)} />
      {taken && <TakenTests taken={taken} />}
      <div className="actions import-acts">
        {corrects && (
          <>
            <label htmlFor={reasonField}>Corrected, because</label>
            <input
              id={reasonField}
              className="field"
              value={reason}
              onChange={(event) => setReason(event.target.value)}
            />
          </>
        )}
        {fresh.length > 0 && (
          <button
            type="button"
            className="button first"
            disabled={busy || ready.length === 0 || (corrects && reason.trim().length < 3)}
            onClick={() => void accept()}
          >
            Accept {count(ready.length, 'file')}
          </button>
        )}
        {unread.length > 0 && (
          <button
            type="button"
            className="button"
            disabled={busy}
            onClick={() =>
              void setAside(unread.map(({ key, because }) => ({ key, reason: because ?? 'cannot be read' })))
            }
          >
            Set {count(unread.length, 'unreadable file')} aside
          </button>
        )}
      </div>
      {fresh.length > 0 && <ForTheChosen files={fresh} choices={choices} onSay={set} />}
      <div className="tests-scroll">
        <table className="ledger tester-files">
          <thead>
            <tr>
              <th scope="col" className="left">
                <span className="unseen">Take in</span>
              </th>
              <th scope="col" className="left">
                {testerFilesHeads.file}
              </th>
              <th scope="col" className="left">
                {testerFilesHeads.segment}
              </th>
              <th scope="col" className="left">
                {testerFilesHeads.phase}
              </th>
              <th scope="col" className="left">
                {testerFilesHeads.testedOn}
              </th>
              <th scope="col" className="left">
                {testerFilesHeads.whatItSays}
              </th>
            </tr>
          </thead>
          <tbody>
            {preview.files.map((file) => (
              <TesterFile
                key={rowOf(file)}
                file={file}
                choice={choices.get(file.key)!}
                given={given}
                open={open === rowOf(file)}
                busy={busy}
                onOpen={(wanted) => setOpen(wanted ? rowOf(file) : null)}
                onSay={(words) => set([file.key], words)}
                onAside={(reason) => void setAside([{ key: file.key, reason }])}
                onAgain={onAgain}
              />
            ))}
          </tbody>
        </table>
      </div>
    </section>
  );
}
