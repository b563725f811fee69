import { useState } from 'react';
import type { OutputOf } from '../../../core/contract/asks/index.ts';
import { ask } from '../../client/index.ts';
import { DayLine } from '../../parts/Day.tsx';
import { FormDialog } from '../../parts/FormDialog.tsx';
import { Failed, Waiting } from '../../parts/states.tsx';
import { TextField } from '../../parts/TextField.tsx';
import { say } from '../../parts/toast.ts';
import { isDay } from '../../words/dates.ts';
import { ruleAbout, ruleSet, ruleTakenBack } from '../../words/retestForms.ts';
import { act } from '../acts.ts';
import { useAsk } from '../asking.ts';
import { RuleLine } from './RuleLine.tsx';
import { RulePreview } from './RulePreview.tsx';
import { emptyLine, faultOf, formOf, type Line, type RuleForm, ruleOf } from './ruleForm.ts';

type Version = OutputOf<'policy.list'>['versions'][number];
type Preview = OutputOf<'policy.previewRetest'>;

/** The rule on retests, to set anew: what it would change is shown before anything is written. */
export function RuleDialog({ today, onClose }: { readonly today: string; readonly onClose: () => void }) {
  const asked = useAsk('policy.list', {});
  const rules = asked.data?.versions.filter((version) => version.subject === 'retest interval') ?? [];
  const last = rules.at(-1);
  if (last) return <RuleEntry last={last} today={today} onClose={onClose} />;
  return asked.isError ? <Failed error={asked.error} again={() => void asked.refetch()} /> : <Waiting />;
}

interface Props {
  readonly last: Version;
  readonly today: string;
  readonly onClose: () => void;
}

function RuleEntry({ last, today, onClose }: Props) {
  const [form, setForm] = useState<RuleForm>(() => formOf(JSON.parse(last.rule)));
  const [from, setFrom] = useState(today);
  const [source, setSource] = useState('');
  const [reason, setReason] = useState('');
  const [preview, setPreview] = useState<{ readonly of: string; readonly answer: Preview } | null>(null);
  const fault = faultOf(form);
  const key = fault === null && isDay(from) ? JSON.stringify([ruleOf(form), from]) : null;
  const seen = preview !== null && preview.of === key;
  const look = async (of: string): Promise<'stay'> => {
    setPreview({ of, answer: await ask('policy.previewRetest', { rule: ruleOf(form), inForceFrom: from }) });
    return 'stay';
  };
  const submit = async (): Promise<unknown> => {
    if (key !== null && !seen) return look(key);
    await ask('policy.setRetest', {
      rule: ruleOf(form),
      source: source.trim(),
      inForceFrom: from,
      reason: reason.trim(),
    });
    say(ruleSet(from), () => void takeBack(last, from));
    return undefined;
  };
  const line = (at: number, next: Line): void =>
    setForm({ ...form, lines: form.lines.map((each, i) => (i === at ? next : each)) });
  const up = (at: number): void => {
    const lines = [...form.lines];
    lines.splice(at - 1, 2, form.lines[at]!, form.lines[at - 1]!);
    setForm({ ...form, lines });
  };
  const number = (name: 'others' | 'early' | 'grace', label: string) => (
    <input
      className="term"
      aria-label={label}
      inputMode="numeric"
      autoComplete="off"
      style={{ width: '5ch' }}
      value={form[name]}
      onChange={(event) => setForm({ ...form, [name]: event.target.value })}
    />
  );
  const named = source.trim().length >= 3 && reason.trim().length >= 3;
  return (
    <FormDialog
      title="The rule on retests"
      about={ruleAbout}
      submit={seen ? 'Set the rule' : 'Show what it changes'}
      ready={key !== null && (!seen || named)}
      onSubmit={submit}
      onClose={onClose}
      wide
    >
      {form.lines.map((each, at) => (
        <RuleLine
          key={each.key}
          line={each}
          at={at + 1}
          onLine={(next) => line(at, next)}
          onUp={at === 0 ? null : () => up(at)}
          onTakeOut={() => setForm({ ...form, lines: form.lines.filter((_, i) => i !== at) })}
        />
      ))}
      <p className="rule-rest">
        <button
          type="button"
          className="word"
          onClick={() => setForm({ ...form, lines: [...form.lines, emptyLine()] })}
        >
          another line
        </button>{' '}
        All others every {number('others', 'All others: months')} months. Early: more than{' '}
        {number('early', 'Days before which a test is early')} days before its day. On time: up to{' '}
        {number('grace', 'Days of grace')} days after it.
      </p>
      <div className="form form-gap">
        <DayLine label="In force from" value={from} onValue={setFrom} />
        <TextField label="Where it comes from" value={source} onValue={setSource} maxLength={1000} />
        <TextField label="Why" value={reason} onValue={setReason} maxLength={1000} />
      </div>
      {fault !== null && (
        <p className="caution" role="status">
          {fault}
        </p>
      )}
      {seen && <RulePreview answer={preview.answer} />}
    </FormDialog>
  );
}

/** The rule as it stood, as a further version from the same day: the ledger keeps both. */
const takeBack = (before: Version, from: string): Promise<unknown> =>
  act(
    'policy.setRetest',
    {
      rule: JSON.parse(before.rule),
      words: before.words,
      source: before.source,
      inForceFrom: from,
      reason: 'taken back',
    },
    ruleTakenBack,
  );
