import { useState } from 'react';
import type { Finding } from '../../../core/contract/asks/findings.ts';
import { Failed, Waiting } from '../../parts/states.tsx';
import { WordFilter } from '../../parts/WordFilter.tsx';
import { count, firstUpper } from '../../words/numbers.ts';
import { useAsk } from '../asking.ts';
import { hrefOf } from '../route.ts';
import { VerdictForm } from './VerdictForm.tsx';

const verdicts = [
  { id: 'open', name: 'without a verdict' },
  { id: 'accepted', name: 'accepted' },
  { id: 'dismissed', name: 'dismissed' },
] as const;

/** Shown at once; a long list is opened further by hand. */
const firstShown = 60;

/** What looks wrong in the data, what it would change, and what a person made of it. */
export function Findings({ readOnly }: { readonly readOnly: boolean }) {
  const asked = useAsk('findings.list', {}, { keep: true });
  const [kind, setKind] = useState<string | null>(null);
  const [verdict, setVerdict] = useState<string | null>(null);
  const [shown, setShown] = useState(firstShown);
  if (asked.isError) return <Failed error={asked.error} again={() => void asked.refetch()} />;
  if (!asked.data) return <Waiting words="Comparing every reading with what the rest says…" />;
  const { sentence, findings } = asked.data;
  const kinds = [...new Set(findings.map((finding) => finding.kind))].sort();
  const fitting = findings.filter(
    (finding) =>
      (kind === null || finding.kind === kind) &&
      (verdict === null || (finding.verdict === null ? 'open' : finding.verdict.verdict) === verdict),
  );
  return (
    <>
      <p className="say">{sentence}</p>
      {findings.length === 0 ? (
        <p className="second">
          Nothing stands out. That is no proof: what every reading shares, no comparison can show.
        </p>
      ) : (
        <p className="caption">
          {count(fitting.length, 'finding')}:{' '}
          <WordFilter
            label="Kind"
            words={kind ?? 'of every kind'}
            every="of every kind"
            choices={kinds.map((each) => ({ id: each, name: each }))}
            chosen={kind === null ? [] : [kind]}
            onChoose={([id]) => setKind(id ?? null)}
          />
          ,{' '}
          <WordFilter
            label="Verdict"
            words={verdicts.find((each) => each.id === verdict)?.name ?? 'with and without a verdict'}
            every="with and without a verdict"
            choices={verdicts}
            chosen={verdict === null ? [] : [verdict]}
            onChoose={([id]) => setVerdict(id ?? null)}
          />
        </p>
      )}
      <ol className="findings">
        {fitting.slice(0, shown).map((finding) => (
          <FindingItem key={finding.key} finding={finding} readOnly={readOnly} />
        ))}
      </ol>
      {fitting.length > shown && (
        <button type="button" className="word" onClick={() => setShown(shown + 200)}>
          Show {Math.min(200, fitting.length - shown)} more
        </button>
      )}
    </>
  );
}

function FindingItem({ finding, readOnly }: { readonly finding: Finding; readonly readOnly: boolean }) {
  const facts = [finding.testOwnerId, finding.on, finding.phase === null ? null : `phase ${finding.phase}`].filter(
    (fact) => fact !== null && fact !== '',
  );
  return (
    <li className="finding">
      <p className="finding-head">
        <span className="strong">{firstUpper(finding.kind)}</span>
        {finding.segment && (
          <>
            {' · '}
            <a href={hrefOf('fleet', finding.segment.id)}>{finding.segment.name}</a>
          </>
        )}
        {facts.length > 0 && <span className="second"> · {facts.join(' · ')}</span>}
      </p>
      <p>{finding.seen}</p>
      <p className="second">{finding.effect}</p>
      {finding.verdict ? (
        <p className="caption">
          {firstUpper(finding.verdict.verdict)}: {finding.verdict.reason}
        </p>
      ) : (
        !readOnly && <VerdictForm finding={finding} />
      )}
    </li>
  );
}
