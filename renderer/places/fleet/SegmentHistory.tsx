import { useState } from 'react';
import type { SegmentPage } from '../../../core/contract/asks/segment.ts';
import { Failed, Waiting } from '../../parts/states.tsx';
import { changeWords, moment } from '../../words/evidence.ts';
import { count } from '../../words/numbers.ts';
import { useAsk } from '../asking.ts';
import { hrefOf } from '../route.ts';

/** Every version of the segment's own record, field by field; read when it is opened. */
export function SegmentHistory({ page }: { readonly page: SegmentPage }) {
  const [open, setOpen] = useState(false);
  return (
    <details className="history no-print" onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary className="caption">History of this record</summary>
      {open && <Versions id={page.id} />}
    </details>
  );
}

function Versions({ id }: { readonly id: string }) {
  const asked = useAsk('ledger.ofRecord', { entity: 'segment', id });
  if (asked.isError) return <Failed error={asked.error} />;
  if (!asked.data) return <Waiting />;
  const { versions } = asked.data;
  return (
    <>
      <table className="ledger">
        <tbody>
          {[...versions].reverse().map((version) => (
            <tr key={version.line}>
              <td className="left nowrap">{moment(version.at)}</td>
              <td className="left nowrap">{version.who}</td>
              <td className="left">
                {version.what}
                {version.fields.length > 0 && version.line !== versions[0]?.line && (
                  <span className="second"> · {version.fields.map(changeWords).join(' · ')}</span>
                )}
                {version.why !== null && <span className="second"> · {version.why}</span>}
              </td>
              <td className="nowrap second">line {version.line}</td>
            </tr>
          ))}
        </tbody>
      </table>
      <p className="caption">
        {count(versions.length, 'version')}; nothing is overwritten.{' '}
        <a href={hrefOf('evidence', 'ledger')}>The whole ledger</a>
      </p>
    </>
  );
}
