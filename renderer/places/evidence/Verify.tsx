import { useId, useState } from 'react';
import type { OutputOf } from '../../../core/contract/asks/index.ts';
import { ask, host } from '../../client/index.ts';
import { asProblem } from '../../parts/asProblem.ts';
import { Failed } from '../../parts/states.tsx';
import { duration } from '../../words/dates.ts';
import { apart, fileName, hashWords, moment } from '../../words/evidence.ts';
import { verifyAbout } from '../../words/evidenceForms.ts';
import { verifyHeads } from '../../words/heads.ts';
import { whole } from '../../words/numbers.ts';

type Answer = OutputOf<'evidence.verify'>;

type Stage =
  | { readonly at: 'ready' }
  | { readonly at: 'working'; readonly stop: AbortController }
  | { readonly at: 'told'; readonly answer: Answer }
  | { readonly at: 'failed'; readonly error: unknown };

const keyKind = { name: 'Public key', extensions: ['pem'] };

/** Was anything altered? Yes and which record, or no. */
export function Verify() {
  const [stage, setStage] = useState<Stage>({ at: 'ready' });
  const [head, setHead] = useState('');
  const [keyFile, setKeyFile] = useState<string | null>(null);
  const field = useId();
  const hash = head.replaceAll(/\s/g, '');
  const good = hash === '' || /^[0-9a-fA-F]{64}$/.test(hash);
  const run = async (): Promise<void> => {
    const stop = new AbortController();
    setStage({ at: 'working', stop });
    try {
      const given = { ...(hash === '' ? {} : { head: hash }), ...(keyFile === null ? {} : { publicKey: keyFile }) };
      setStage({ at: 'told', answer: await ask('evidence.verify', given, { signal: stop.signal }) });
    } catch (error) {
      setStage(asProblem(error).code === 'cancelled' ? { at: 'ready' } : { at: 'failed', error });
    }
  };
  const pickKey = async (): Promise<void> => {
    const [picked] = await host.pickFiles({ kinds: [keyKind], many: false });
    if (picked !== undefined) setKeyFile(picked);
  };
  return (
    <>
      {stage.at === 'told' ? (
        <p className={stage.answer.intact ? 'say' : 'say caution'}>{stage.answer.sentence}</p>
      ) : (
        <p className="say">{verifyAbout}</p>
      )}
      <form
        className="verify-form no-print"
        onSubmit={(event) => {
          event.preventDefault();
          if (good) void run();
        }}
      >
        <label htmlFor={field}>Hash of a ledger head kept elsewhere, if you have one</label>
        <input
          id={field}
          className="field hash"
          value={head}
          spellCheck={false}
          aria-invalid={!good}
          placeholder="64 hexadecimal digits, from the foot of a printed page"
          onChange={(event) => setHead(event.target.value)}
        />
        <span className="verify-key">
          <span>Public key (PEM) that must have signed the ledger, if you have one</span>
          {keyFile === null ? (
            <button type="button" className="button" onClick={() => void pickKey()}>
              Choose a key file…
            </button>
          ) : (
            <>
              <strong>{fileName(keyFile)}</strong>
              <button type="button" className="button" onClick={() => setKeyFile(null)}>
                Leave it out
              </button>
            </>
          )}
        </span>
        {stage.at === 'working' ? (
          <button type="button" className="button" onClick={() => stage.stop.abort()}>
            Cancel
          </button>
        ) : (
          <button type="submit" className="button first" disabled={!good}>
            {stage.at === 'told' ? 'Verify again' : 'Verify this fleet'}
          </button>
        )}
      </form>
      {stage.at === 'failed' && <Failed error={stage.error} again={() => void run()} />}
      {stage.at === 'told' && <Told answer={stage.answer} />}
    </>
  );
}

function Told({ answer }: { readonly answer: Answer }) {
  return (
    <>
      {answer.wrong.length > 0 && (
        <table className="ledger">
          <thead>
            <tr>
              <th scope="col" className="left">
                {verifyHeads.record}
              </th>
              <th scope="col" className="left">
                {verifyHeads.whatIsWrong}
              </th>
              <th scope="col" className="left">
                {verifyHeads.whatItSaidBefore}
              </th>
              <th scope="col">{verifyHeads.ledgerLine}</th>
            </tr>
          </thead>
          <tbody>
            {answer.wrong.map((each) => (
              <tr key={`${each.kind} ${each.id} ${each.ledgerLine} ${each.says}`}>
                <td className="left strong">{each.name}</td>
                <td className="left">{each.says}</td>
                <td className="left">{each.before ?? 'cannot be told'}</td>
                <td>{each.ledgerLine ?? '–'}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      {answer.wrongCount > answer.wrong.length && (
        <p className="caption">{whole(answer.wrongCount)} are wrong in all; the first of them are shown.</p>
      )}
      <p className="second">
        Checked in {duration(answer.seconds)}:{' '}
        {Object.entries(answer.checked)
          .map(([what, n]) => `${whole(n)} ${apart(what)}`)
          .join(', ')}
        .
      </p>
      {answer.head && (
        <p className="second hash">
          Ledger head, line {answer.head.line}, {moment(answer.head.at)} UTC: {hashWords(answer.head.hash)}
        </p>
      )}
      {answer.signatures.map((signature) => (
        <p key={signature.line} className={signature.holds ? 'second' : 'caution'}>
          Signed at line {signature.line} by {signature.by}, {moment(signature.at)} UTC:{' '}
          {signature.holds ? 'the signature holds.' : 'the signature does not hold.'}
        </p>
      ))}
      <p className="caption">{answer.limit}</p>
    </>
  );
}
