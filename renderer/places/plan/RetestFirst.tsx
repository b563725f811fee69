import { useState } from 'react';
import { Empty, Failed, Waiting } from '../../parts/states.tsx';
import { retestFirstHeads } from '../../words/heads.ts';
import { fixed } from '../../words/numbers.ts';
import { money } from '../../words/plan.ts';
import { testsWaiting } from '../../words/planForms.ts';
import { useAsk } from '../asking.ts';
import { hrefOf } from '../route.ts';
import { usePlan } from './usePlan.ts';

/** The tests whose readings would improve the plan most. */
export function RetestFirst() {
  const { before } = usePlan();
  const [days, setDays] = useState('40');
  const crewDays = Number(days);
  const good = crewDays > 0 && crewDays <= 5000;
  const asked = useAsk(
    'plan.tests',
    { question: before?.question ?? { budget: 1 }, crewDays: good ? crewDays : 40 },
    { enabled: before !== null && good, keep: true },
  );
  if (before === null)
    return (
      <div className="plan-part">
        <Empty title="Make a plan first">
          <p>
            The value of a test is how much its reading would improve the plan, so there must be one:{' '}
            <a href={hrefOf('plan')}>make the plan</a>.
          </p>
        </Empty>
      </div>
    );
  return (
    <div className="plan-part">
      <p className="second">
        Within{' '}
        <input
          className="term"
          aria-label="Crew days"
          inputMode="decimal"
          style={{ width: '5ch' }}
          value={days}
          onChange={(event) => setDays(event.target.value)}
        />{' '}
        crew days.
      </p>
      {asked.isError && <Failed error={asked.error} again={() => void asked.refetch()} />}
      {asked.isPending && <Waiting words={testsWaiting} />}
      {asked.data && (
        <>
          <p className="say">{asked.data.sentence}</p>
          <p className="caution plan-caution">{asked.data.caution}</p>
          <table className="ledger">
            <thead>
              <tr>
                <th scope="col" className="left">
                  {retestFirstHeads.segment}
                </th>
                <th scope="col" className="left">
                  {retestFirstHeads.feeder}
                </th>
                <th scope="col">{retestFirstHeads.improvesThePlanBy}</th>
                <th scope="col">{retestFirstHeads.costOfTheTest}</th>
                <th scope="col">{retestFirstHeads.crewDays}</th>
                <th scope="col" className="left">
                  {retestFirstHeads.whatItWouldDecide}
                </th>
              </tr>
            </thead>
            <tbody>
              {asked.data.tests.map((test) => (
                <tr key={test.segmentId}>
                  <td className="left">
                    <a href={hrefOf('fleet', test.segmentId)}>{test.name}</a>
                  </td>
                  <td className="left second">{test.feeder}</td>
                  <td>{money(test.value)}</td>
                  <td>{money(test.cost)}</td>
                  <td>{fixed(test.crewDays, 1)}</td>
                  <td className="left second">{test.about}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </>
      )}
    </div>
  );
}
