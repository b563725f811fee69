import type { Figure } from '../../core/contract/figure.ts';
import { figureTableHeads } from '../words/heads.ts';
import { figureRows } from './figureRows.ts';

/** The numbers of a chart as a table: its twin for keyboards and screen readers. */
export function FigureTable({ figure }: { readonly figure: Figure }) {
  const rows = figureRows(figure);
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a scrolled region must be reachable by keyboard
    <section className="figure-table" aria-label={`${figure.title}, as a table`} tabIndex={0}>
      <table className="ledger">
        <thead>
          <tr>
            <th className="left" scope="col">
              {figureTableHeads.what}
            </th>
            <th scope="col">{figure.xLabel}</th>
            <th scope="col">{figure.yLabel}</th>
            <th scope="col">{figureTableHeads.from}</th>
            <th scope="col">{figureTableHeads.to}</th>
          </tr>
        </thead>
        <tbody>
          {rows.map((row) => (
            <tr key={row.key}>
              <td className="left">{row.what}</td>
              <td>{row.x}</td>
              <td>{row.y}</td>
              <td>{row.lo}</td>
              <td>{row.hi}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}
