import { voltageSaidHeads } from '../../words/heads.ts';
import { asSet } from '../../words/numbers.ts';
import { type Brief, voltageWords } from '../../words/retest.ts';

/** What the tables allow on this cable at its age; or that no direct voltage is advised, and what else there is. */
export function VoltageSaid({ brief }: { readonly brief: Brief }) {
  const { apply, about } = voltageWords(brief);
  return (
    <section aria-label="Voltage" className="voltage">
      <p className={brief.voltage.advised ? 'voltage-says' : 'voltage-says caution'}>
        <span className="strong">{apply}</span>
        {!brief.voltage.advised && <span className="voltage-about"> {about}</span>}
      </p>
      {brief.voltage.advised && <p className="caption">{about}</p>}
      {brief.planned.voltageKv.known && (
        <p className="second" title={brief.ramp.source}>
          {brief.ramp.says}
        </p>
      )}
      {brief.voltage.advised &&
        brief.voltage.otherTables.map((table) => (
          <p key={table.table} className="caption">
            {table.table} prints {asSet(table.voltageKv)} kV for the same cable. {table.source}
          </p>
        ))}
    </section>
  );
}

/** What else the standards know, and what they accept where no direct voltage is advised. */
export function Alternatives({ brief }: { readonly brief: Brief }) {
  if (brief.alternatives.length === 0) return null;
  return (
    <table className="ledger alternatives">
      <thead>
        <tr>
          <th scope="col" className="left">
            {brief.voltage.advised ? 'Other methods' : 'Methods the standards accept instead'}
          </th>
          <th scope="col">{voltageSaidHeads.kvPeak}</th>
          <th scope="col" className="left">
            {voltageSaidHeads.whatItSays}
          </th>
          <th scope="col" className="left">
            {voltageSaidHeads.standard}
          </th>
        </tr>
      </thead>
      <tbody>
        {brief.alternatives.map((each) => (
          <tr key={each.name}>
            <td className="left">{each.name}</td>
            <td>{each.peakKv === null ? '–' : asSet(each.peakKv)}</td>
            <td className="left second">{each.says}</td>
            <td className="left second" title={each.source}>
              {each.standard}
              {each.source.includes('from memory') && <span className="caption">, from memory, unverified</span>}
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}
