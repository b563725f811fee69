import type { OutputOf } from '../../../core/contract/asks/index.ts';
import { IntervalRow } from '../../parts/IntervalRow.tsx';
import { Say } from '../../parts/Say.tsx';
import { Empty, Failed, Waiting } from '../../parts/states.tsx';
import { useWidth } from '../../parts/useWidth.ts';
import { RowStrip } from '../../parts/YearStrip.tsx';
import { fleetOpening } from '../../words/fleet.ts';
import { fastestCaption, fleetInvites, fleetWaiting } from '../../words/fleetForms.ts';
import { fleetOverviewHeads } from '../../words/heads.ts';
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
          <p>{fleetInvites}</p>
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
  const [place, width] = useWidth<HTMLDivElement>(1000, 'overview');
  return (
    <div ref={place}>
      {page.isError ? (
        <Failed error={page.error} again={() => void page.refetch()} />
      ) : page.data ? (
        <Fastest page={page.data} roomy={width >= roomyPx} />
      ) : (
        <Waiting words={fleetWaiting} />
      )}
    </div>
  );
}

/** From this width on there is room for a column of feeders and wide intervals. */
const roomyPx = 860;

interface FastestProps {
  readonly page: OutputOf<'ranking.page'>;
  readonly roomy: boolean;
}

function Fastest({ page: { rows, scale }, roomy }: FastestProps) {
  return (
    <section className="first-look" aria-label="Where to look first">
      <p className="caption">
        {fastestCaption} <a href={hrefOf('ranking')}>The whole ranking</a>
      </p>
      <table className="ledger">
        <thead>
          <tr>
            <th scope="col">{fleetOverviewHeads.rank}</th>
            <th scope="col" className="left">
              {fleetOverviewHeads.segment}
            </th>
            {roomy && (
              <th scope="col" className="left">
                {fleetOverviewHeads.feeder}
              </th>
            )}
            <th scope="col" className="left">
              {fleetOverviewHeads.growthPctAYear}
            </th>
            <th scope="col">
              <span className="unseen">Growth, % a year</span>
            </th>
            <th scope="col">{fleetOverviewHeads.crossesTheLimit}</th>
            <th scope="col" className="left">
              {fleetOverviewHeads.years}
            </th>
          </tr>
        </thead>
        <tbody>
          {rows.map((row) => (
            <tr key={row.id}>
              <td className="right">{row.rank ?? '–'}</td>
              <td className="left">
                <a href={hrefOf('fleet', row.id)} title={roomy ? undefined : `${row.substation}, ${row.feeder}`}>
                  {row.name}
                </a>
              </td>
              {roomy && (
                <td className="left second">
                  {row.substation}, {row.feeder}
                </td>
              )}
              <td className="left">
                {row.growthPctPerYr && (
                  <IntervalRow interval={row.growthPctPerYr} scale={scale} width={roomy ? 200 : 120} height={30} />
                )}
              </td>
              <td>{row.growthPctPerYr ? fixed(row.growthPctPerYr.value, 1) : '–'}</td>
              <td className="nowrap">{crosses(row.crossing, row.strip.now)}</td>
              <td className="left">
                <RowStrip strip={row.strip} cell={roomy ? 3 : 2} gap={roomy ? 2 : 1} />
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}
