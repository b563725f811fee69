import { useState } from 'react';
import type { OutputOf } from '../../../core/contract/asks/index.ts';
import { ask } from '../../client/index.ts';
import { FormDialog } from '../../parts/FormDialog.tsx';
import { Failed, Waiting } from '../../parts/states.tsx';
import { TextField } from '../../parts/TextField.tsx';
import { say } from '../../parts/toast.ts';
import { limitsDialogHeads } from '../../words/heads.ts';
import { asSet, count, measured } from '../../words/numbers.ts';
import { limitsAbout, limitsTakenBack } from '../../words/retestForms.ts';
import { act } from '../acts.ts';
import { useAsk } from '../asking.ts';

type Limit = OutputOf<'policy.limits'>['limits'][number];

/** The limits of specific leakage, by insulation; ours stand where the owner has set none. */
export function LimitsDialog({ onClose }: { readonly onClose: () => void }) {
  const asked = useAsk('policy.limits', {});
  if (asked.data) return <LimitsEntry limits={asked.data.limits} onClose={onClose} />;
  return asked.isError ? <Failed error={asked.error} again={() => void asked.refetch()} /> : <Waiting />;
}

function LimitsEntry({ limits, onClose }: { readonly limits: readonly Limit[]; readonly onClose: () => void }) {
  const [typed, setTyped] = useState<Readonly<Record<string, string>>>({});
  const [source, setSource] = useState('');
  const [reason, setReason] = useState('');
  const changed = limits.flatMap((limit) => {
    const text = (typed[limit.insulation] ?? '').trim();
    return text === '' ? [] : [{ insulation: limit.insulation, nsPerKm: Number(text) }];
  });
  const ready =
    changed.length > 0 &&
    changed.every((each) => each.nsPerKm >= 1e-6 && each.nsPerKm <= 1e6) &&
    source.trim().length >= 3 &&
    reason.trim().length >= 3;
  const submit = async (): Promise<void> => {
    await ask('policy.setLimits', { limits: changed, source: source.trim(), reason: reason.trim() });
    const before = limits.filter(
      (limit) => limit.owners && changed.some((each) => each.insulation === limit.insulation),
    );
    // Only what stood together goes back together: a limit that was never set has nothing to go back to.
    const together = before.length === changed.length && before.every((limit) => limit.source === before[0]!.source);
    say(
      `${count(changed.length, 'limit')} set; ranking and plan count by them from now on.`,
      together ? () => void takeBack(before) : null,
    );
  };
  return (
    <FormDialog
      title="Limits of specific leakage"
      about={limitsAbout}
      submit="Set the limits"
      ready={ready}
      onSubmit={submit}
      onClose={onClose}
      wide
    >
      <table className="ledger form-gap">
        <thead>
          <tr>
            <th scope="col" className="left">
              {limitsDialogHeads.insulation}
            </th>
            <th scope="col">{limitsDialogHeads.segments}</th>
            <th scope="col" className="nowrap">
              {limitsDialogHeads.nowLevelAt20}
            </th>
            <th scope="col" className="left">
              {limitsDialogHeads.anew}
            </th>
            <th scope="col" className="left">
              {limitsDialogHeads.from}
            </th>
          </tr>
        </thead>
        <tbody>
          {limits.map((limit) => (
            <tr key={limit.insulation}>
              <th scope="row" className="left">
                {limit.insulation}
              </th>
              <td>{limit.segments}</td>
              <td>{limit.nsPerKm === null ? 'none' : limit.owners ? asSet(limit.nsPerKm) : measured(limit.nsPerKm)}</td>
              <td className="left">
                <input
                  className="field"
                  aria-label={`Limit for ${limit.insulation}, nS/km at 20 °C`}
                  inputMode="decimal"
                  autoComplete="off"
                  style={{ width: '8ch' }}
                  value={typed[limit.insulation] ?? ''}
                  onChange={(event) => setTyped({ ...typed, [limit.insulation]: event.target.value })}
                />
              </td>
              <td className="left second">
                {limit.owners ? `${limit.source}${limit.setOn === null ? '' : `, set ${limit.setOn}`}` : limit.source}
              </td>
            </tr>
          ))}
        </tbody>
      </table>
      <div className="form form-gap">
        <TextField label="Where they come from" value={source} onValue={setSource} maxLength={1000} />
        <TextField label="Why" value={reason} onValue={setReason} maxLength={2000} />
      </div>
    </FormDialog>
  );
}

const takeBack = (before: readonly Limit[]): Promise<unknown> =>
  act(
    'policy.setLimits',
    {
      limits: before.map((limit) => ({ insulation: limit.insulation, nsPerKm: limit.nsPerKm! })),
      source: before[0]!.source,
      reason: 'taken back',
    },
    limitsTakenBack,
  );
