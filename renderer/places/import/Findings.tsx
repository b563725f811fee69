import { type KeyboardEvent, useState } from 'react';
import type { Finding } from '../../../core/contract/asks/findings.ts';
import { Failed, Waiting } from '../../parts/states.tsx';
import { WordFilter } from '../../parts/WordFilter.tsx';
import { certaintyWords, verdictWords } from '../../words/findings.ts';
import { findingsWaiting, nothingFound } from '../../words/importing.ts';
import { count, firstUpper, grouped, list } from '../../words/numbers.ts';
import { useAsk } from '../asking.ts';
import { hrefOf } from '../route.ts';
import { type Judging, VerdictForm } from './VerdictForm.tsx';

const verdicts = [
  { id: 'open', name: 'without a verdict' },
  { id: 'accepted', name: 'accepted' },
  { id: 'dismissed', name: 'dismissed' },
] as const;

/** Shown at once; a long list is opened further by hand. */
const firstShown = 60;

/** What looks wrong in the data, where it would put its segment, and what a person made of it: one by one or several at once. */
export function Findings({ readOnly }: { readonly readOnly: boolean }) {
  const asked = useAsk('findings.list', {}, { keep: true });
  const [kinds, setKinds] = useState<readonly string[]>([]);
  const [verdict, setVerdict] = useState<string | null>(null);
  const [shown, setShown] = useState(firstShown);
  const [chosen, setChosen] = useState<ReadonlySet<string>>(new Set());
  const [judging, setJudging] = useState<Judging | null>(null);
  if (asked.isError) return <Failed error={asked.error} again={() => void asked.refetch()} />;
  if (!asked.data) return <Waiting words={findingsWaiting} />;
  const { sentence, findings } = asked.data;
  const every = [...new Set(findings.map((finding) => finding.kind))].sort();
  const fitting = findings.filter(
    (finding) =>
      (kinds.length === 0 || kinds.includes(finding.kind)) &&
      (verdict === null || (finding.verdict === null ? 'open' : finding.verdict.verdict) === verdict),
  );
  const those = fitting.filter((finding) => chosen.has(finding.key)).map((finding) => finding.key);
  const choose = (keys: readonly string[]): void => {
    setChosen(new Set(keys));
    setJudging(null);
  };
  const toggle = (key: string): void => choose(chosen.has(key) ? those.filter((k) => k !== key) : [...those, key]);
  const kept = (): void => choose([]);

  return (
    <>
      <p className="say">{sentence}</p>
      {findings.length === 0 ? (
        <p className="second">{nothingFound}</p>
      ) : (
        <p className="caption">
          {count(fitting.length, 'finding')}:{' '}
          <WordFilter
            label="Kind"
            many
            words={kinds.length === 0 ? 'of every kind' : list(kinds)}
            every="of every kind"
            choices={every.map((each) => ({
              id: each,
              name: `${each} (${findings.filter((finding) => finding.kind === each).length})`,
            }))}
            chosen={kinds}
            onChoose={setKinds}
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
      {!readOnly && fitting.length > 1 && (
        <section className="chosen-findings no-print" aria-label="Several at once">
          {those.length === 0 ? (
            <p className="caption">
              <button
                type="button"
                className="word"
                onClick={() => choose(fitting.slice(0, shown).map(({ key }) => key))}
              >
                choose all {count(Math.min(shown, fitting.length), 'finding')} shown
              </button>{' '}
              to judge them with one reason, or mark some.
            </p>
          ) : (
            <>
              <p className="caption">
                {count(those.length, 'finding')} chosen ·{' '}
                <button type="button" className="word" onClick={() => choose([])}>
                  choose none
                </button>
              </p>
              <VerdictForm keys={those} open={judging} onOpen={setJudging} onKept={kept} />
            </>
          )}
        </section>
      )}
      <ol
        className="findings"
        onKeyDown={(event) => onKey(event, (verdict) => those.length > 0 && setJudging(verdict))}
      >
        {fitting.slice(0, shown).map((finding) => (
          <FindingItem
            key={finding.key}
            finding={finding}
            readOnly={readOnly}
            chosen={chosen.has(finding.key)}
            onChoose={() => toggle(finding.key)}
          />
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

/** On a finding's mark: up and down walk to the next, A and D judge those chosen; space marks, as any box. */
function onKey(event: KeyboardEvent<HTMLElement>, judge: (verdict: Judging) => void): void {
  const { target } = event;
  if (!(target instanceof HTMLInputElement) || target.type !== 'checkbox') return;
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  const marks = [...event.currentTarget.querySelectorAll<HTMLInputElement>('input[type=checkbox]')];
  const at = marks.indexOf(target);
  const to = { ArrowDown: at + 1, ArrowUp: at - 1, Home: 0, End: marks.length - 1 }[event.key];
  if (to !== undefined) {
    event.preventDefault();
    marks[to]?.focus();
  } else if (event.key === 'a' || event.key === 'd') {
    event.preventDefault();
    judge(event.key === 'a' ? 'accepted' : 'dismissed');
  }
}

interface ItemProps {
  readonly finding: Finding;
  readonly readOnly: boolean;
  readonly chosen: boolean;
  readonly onChoose: () => void;
}

function FindingItem({ finding, readOnly, chosen, onChoose }: ItemProps) {
  const [judging, setJudging] = useState<Judging | null>(null);
  const { verdict } = finding;
  const facts = [
    certaintyWords[finding.certainty],
    finding.testOwnerId,
    finding.on,
    finding.phase === null ? null : `phase ${finding.phase}`,
  ].filter((fact) => fact !== null && fact !== '');
  const name = [finding.kind, finding.segment?.name, finding.testOwnerId].filter(Boolean).join(', ');
  return (
    <li className="finding">
      <p className="finding-head">
        {!readOnly && (
          <input
            type="checkbox"
            className="finding-mark no-print"
            aria-label={`Choose ${name}`}
            checked={chosen}
            onChange={onChoose}
          />
        )}
        <span className="strong">{firstUpper(finding.kind)}</span>
        {finding.segment && (
          <>
            {' · '}
            <a href={hrefOf('fleet', finding.segment.id)}>{finding.segment.name}</a>
          </>
        )}
        <span className="second"> · {facts.join(' · ')}</span>
      </p>
      <p>{grouped(finding.seen)}</p>
      <p className="second">{grouped(finding.effect)}</p>
      <p className="second">{finding.ranking}</p>
      {verdict && <p className="caption">{verdictWords(verdict)}</p>}
      {!readOnly && (
        <VerdictForm
          keys={[finding.key]}
          again={verdict !== null}
          open={judging}
          onOpen={setJudging}
          onKept={() => setJudging(null)}
        />
      )}
    </li>
  );
}
