import type { OutputOf } from '../../../core/contract/asks/index.ts';
import { IntervalRow } from '../../parts/IntervalRow.tsx';
import { Say } from '../../parts/Say.tsx';
import { Empty, Failed, Waiting } from '../../parts/states.tsx';
import { RowStrip } from '../../parts/YearStrip.tsx';
import { fleetOpening } from '../../words/fleet.ts';
import { fixed } from '../../words/numbers.ts';
import { crosses } from '../../words/standing.ts';
import { useAsk } from '../asking.ts';
import { hrefOf } from '../route.ts';
import { useUnits } from '../settings.ts';

/** The fleet's own page: what it holds, and where to look first. */
export function FleetOverview({ info }: { readonly info: OutputOf<'fleet.info'> }) {
  const units = useUnits();
  return (
    <article className="sheet sheet-plain">
      <h1>{info.utilityName}</h1>
      <Say sentence={fleetOpening(info, units)} />
      {info.counts.segments === 0 ? (
        <Empty title="Nothing is in this fleet yet">
          <p>
            A fleet begins with an import: a fleet folder of plain CSV files, a spreadsheet, or the files of your
            tester. You see what would change before anything does.
          </p>
          <p>
            <a href={hrefOf('import')}>Go to Import</a>, or drop the folder on this window.
          </p>
        </Empty>
      ) : (
        info.counts.readings > 0 && <FirstLook />
      )}
    </article>
  );
}

function FirstLook() {
  const page = useAsk('ranking.page', { count: 12 });
  if (page.isError) return <Failed error={page.error} again={() => void page.refetch()} />;
  if (!page.data) return <Waiting words="Fitting growth for the first time…" />;
  const { rows, scale } = page.data;
  return (
    <section className="first-look" aria-label="Where to look first">
      <p className="caption">
        Where leakage grows fastest. Hollow: the 90 % interval includes no growth.{' '}
        <a href={hrefOf('ranking')}>The whole ranking</a>
      </p>
      <table className="ledger">
        <thead>
          <tr>
            <th scope="col">Rank</th>
            <th scope="col" className="left">
              Segment
            </th>
            <th scope="col" className="left">
              Feeder
            </th>
            <th scope="col" className="left">
              Growth, % a year, 90 % interval
            </th>
            <th scope="col">
              <span className="unseen">Growth, % a year</span>
            </th>
            <th scope="col">Crosses the limit</th>
            <th scope="col" className="left">
              Years
            </th>
          </tr>
        </thead>
        <tbody>
          {rows.map((row) => (
            <tr key={row.id}>
              <td className="right">{row.rank ?? '–'}</td>
              <td className="left">
                <a href={hrefOf('fleet', row.id)}>{row.name}</a>
              </td>
              <td className="left second">
                {row.substation}, {row.feeder}
              </td>
              <td className="left">
                {row.growthPctPerYr && (
                  <IntervalRow interval={row.growthPctPerYr} scale={scale} width={200} height={30} />
                )}
              </td>
              <td>{row.growthPctPerYr ? fixed(row.growthPctPerYr.value, 1) : '–'}</td>
              <td className="nowrap">{crosses(row.crossing, row.strip.now)}</td>
              <td className="left">
                <RowStrip strip={row.strip} cell={3} />
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}
