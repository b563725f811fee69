import { bytes, count } from '../../words/numbers.ts';
import { useAsk } from '../asking.ts';

/** Files that were set aside, and a way to look at them again. */
export function Aside({ onLook }: { readonly onLook: (ids: readonly string[]) => void }) {
  const { data } = useAsk('records.aside', {});
  if (!data || data.files.length === 0) return null;
  return (
    <section aria-label="Set aside" className="import-teach">
      <div className="section-head">
        <h2>{count(data.files.length, 'file')} set aside</h2>
        <button type="button" className="word" onClick={() => onLook(data.files.map((file) => file.id))}>
          Look at them again
        </button>
      </div>
      <table className="ledger">
        <tbody>
          {data.files.map((file) => (
            <tr key={file.id}>
              <td className="left file-name">{file.name}</td>
              <td className="left">{file.why}</td>
              <td className="nowrap">{file.receivedAt.slice(0, 10)}</td>
              <td className="nowrap second">{bytes(file.byteCount)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}
