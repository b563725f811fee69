import { startTransition, useEffect, useState } from 'react';
import type { OutputOf } from '../../../core/contract/asks/index.ts';
import { countCells, countHeads } from '../../words/evidence.ts';
import { substationCountsHeads } from '../../words/heads.ts';

type Answer = OutputOf<'evidence.register'>;

/** Substations that are drawn with the first rows of the register; a utility with hundreds gets the others right after. */
const drawnAtOnce = 14;

/** What became of the tests of the period, by substation. Many substations have a room of their own to scroll in. */
export function SubstationCounts({ bySubstation, total }: Pick<Answer, 'bySubstation' | 'total'>) {
  const [whole, setWhole] = useState(false);
  useEffect(() => startTransition(() => setWhole(true)), []);
  const table = (
    <table className="ledger counts">
      <thead>
        <tr>
          <th scope="col" className="left">
            {substationCountsHeads.substation}
          </th>
          {countHeads.map((head) => (
            <th scope="col" key={head}>
              {head}
            </th>
          ))}
        </tr>
      </thead>
      <tbody>
        {(whole ? bySubstation : bySubstation.slice(0, drawnAtOnce)).map((group) => (
          <tr key={group.name}>
            <td className="left">{group.name}</td>
            {countCells(group.counts).map((text, at) => (
              <td key={countHeads[at]}>{text}</td>
            ))}
          </tr>
        ))}
        <tr className="sum">
          <td className="left">Together</td>
          {countCells(total).map((text, at) => (
            <td key={countHeads[at]}>{text}</td>
          ))}
        </tr>
      </tbody>
    </table>
  );
  if (bySubstation.length <= drawnAtOnce) return table;
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a room that scrolls must be reached by keys
    <section className="counts-room" aria-label="By substation" tabIndex={0}>
      {table}
    </section>
  );
}
