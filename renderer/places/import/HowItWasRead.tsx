import { useId, useState } from 'react';
import type { InputOf } from '../../../core/contract/asks/index.ts';
import type { PreviewedFile } from '../../../core/contract/shapes/records.ts';
import { energyCaution, readingFacts } from '../../words/records.ts';
import { LayoutForm } from './LayoutForm.tsx';

interface Props {
  readonly file: PreviewedFile;
  readonly given: Pick<InputOf<'records.preview'>, 'paths' | 'aside'>;
  readonly busy: boolean;
  readonly onAside: (reason: string) => void;
  readonly onAgain: () => Promise<void>;
}

/** Behind a file's name: what it was read to say, its remarks, its columns beside the first rows, and the way aside. */
export function HowItWasRead({ file, given, busy, onAside, onAgain }: Props) {
  const best = file.candidates[0];
  return (
    <div className="how-read">
      {file.warnings.length > 0 && (
        <ul className="remarks">
          {file.warnings.map((line) => (
            <li key={line}>{line}</li>
          ))}
        </ul>
      )}
      {file.reading && (
        <>
          <dl className="facts">
            {readingFacts(file.reading).map(([name, value]) => (
              <div key={name}>
                <dt>{name}</dt>
                <dd>{value}</dd>
              </div>
            ))}
          </dl>
          <p className="caution">{energyCaution(file.reading)}</p>
        </>
      )}
      {best && (
        <p className="caption">
          {best.name}: {best.because.join('; ')}.
        </p>
      )}
      {file.layout && <LayoutForm file={file} layout={file.layout} given={given} onAgain={onAgain} />}
      {(file.verdict === 'new' || file.verdict === 'refused') && file.aside === null && (
        <AsideForm busy={busy} begin={file.because ?? ''} onAside={onAside} />
      )}
    </div>
  );
}

function AsideForm({
  busy,
  begin,
  onAside,
}: {
  readonly busy: boolean;
  readonly begin: string;
  readonly onAside: (reason: string) => void;
}) {
  const [reason, setReason] = useState(begin);
  const field = useId();
  return (
    <form
      className="verdict"
      onSubmit={(event) => {
        event.preventDefault();
        if (reason.trim().length >= 3) onAside(reason.trim());
      }}
    >
      <label htmlFor={field}>Returned to the crew, because</label>
      <input id={field} className="field" value={reason} onChange={(event) => setReason(event.target.value)} />
      <button type="submit" className="button" disabled={busy || reason.trim().length < 3}>
        Set it aside
      </button>
    </form>
  );
}
