import { useState } from 'react';
import type { CostRow } from '../../../core/contract/shapes/plan.ts';
import { ask } from '../../client/index.ts';
import { FormDialog } from '../../parts/FormDialog.tsx';
import { Failed, Waiting } from '../../parts/states.tsx';
import { TextField } from '../../parts/TextField.tsx';
import { say } from '../../parts/toast.ts';
import { costsHeads } from '../../words/heads.ts';
import { fixed } from '../../words/numbers.ts';
import { currencyWords } from '../../words/plan.ts';
import { act } from '../acts.ts';
import { useAsk } from '../asking.ts';
import { SetCurrency } from './SetCurrency.tsx';

/** The owner's money figures, each with its source; a default says that it is one. */
export function Costs({ readOnly }: { readonly readOnly: boolean }) {
  const asked = useAsk('plan.costs', {});
  const [setting, setSetting] = useState<CostRow | null>(null);
  const [naming, setNaming] = useState(false);
  if (asked.isError) return <Failed error={asked.error} again={() => void asked.refetch()} />;
  if (!asked.data) return <Waiting />;
  const { currency, costs } = asked.data;
  const own = costs.filter((cost) => cost.set).length;
  return (
    <div className="plan-part">
      <p className="say">
        {own === 0
          ? `None of the ${costs.length} figures that a plan rests on has been set; each is a default with its source.`
          : `${own} of the ${costs.length} figures that a plan rests on are the owner’s; the others are defaults with their source.`}
      </p>
      <p className="second cost-currency">
        {currencyWords(currency, costs.length - own)}{' '}
        {!readOnly && (
          <button type="button" className="word" onClick={() => setNaming(true)}>
            {currency === null ? 'name the currency…' : 'change the currency…'}
          </button>
        )}
      </p>
      <table className="ledger">
        <thead>
          <tr>
            <th scope="col" className="left">
              {costsHeads.figure}
            </th>
            <th scope="col">{costsHeads.value}</th>
            <th scope="col" className="left">
              {costsHeads.unit}
            </th>
            <th scope="col" className="left">
              {costsHeads.source}
            </th>
          </tr>
        </thead>
        <tbody>
          {costs.map((cost) => (
            <tr key={cost.name}>
              <td className="left">{cost.words}</td>
              <td>
                {readOnly ? (
                  figure(cost.value)
                ) : (
                  <button
                    type="button"
                    className="word"
                    aria-label={`${cost.words}: ${figure(cost.value)}, change`}
                    onClick={() => setSetting(cost)}
                  >
                    {figure(cost.value)}
                  </button>
                )}
              </td>
              <td className="left second">{cost.unit}</td>
              <td className="left second">
                {cost.set ? '' : 'default: '}
                {cost.source}
              </td>
            </tr>
          ))}
        </tbody>
      </table>
      {naming && <SetCurrency currency={currency} onClose={() => setNaming(false)} />}
      {setting && <SetCost cost={setting} onClose={() => setSetting(null)} />}
    </div>
  );
}

const figure = (value: number): string => (Number.isInteger(value) ? fixed(value, 0) : fixed(value, 2));

function SetCost({ cost, onClose }: { readonly cost: CostRow; readonly onClose: () => void }) {
  const [value, setValue] = useState(String(cost.value));
  const [source, setSource] = useState(cost.set ? cost.source : '');
  const number = Number(value.replaceAll(/[,\s]/g, ''));
  const before = { name: cost.name, value: cost.value, source: cost.source };
  return (
    <FormDialog
      title={cost.words}
      submit="Set it"
      ready={value.trim() !== '' && Number.isFinite(number) && source.trim().length >= 3}
      onSubmit={async () => {
        await ask('plan.setCost', { name: cost.name, value: number, source });
        say(
          `${cost.words} is now ${figure(number)} ${cost.unit}.`,
          () => void act('plan.setCost', before, 'As it was before.'),
        );
      }}
      onClose={onClose}
    >
      <div className="form">
        <TextField label={`Value, ${cost.unit}`} value={value} onValue={setValue} inputMode="decimal" />
        <TextField
          label="Source"
          value={source}
          onValue={setSource}
          maxLength={500}
          placeholder="where the figure comes from"
        />
      </div>
    </FormDialog>
  );
}
