import { useId, useState } from 'react';
import type { TestRow } from '../../../core/contract/asks/segment.ts';
import type { TestEventId } from '../../../core/contract/ids.ts';
import { Modal } from '../../parts/Modal.tsx';
import { Failed, Waiting } from '../../parts/states.tsx';
import { whole } from '../../words/numbers.ts';
import { traceCautions, traceSays } from '../../words/trace.ts';
import { useAsk } from '../asking.ts';
import { TraceView } from './TraceView.tsx';

interface Props {
  readonly test: TestRow;
  /** Other tests of the segment that have samples: one may be laid over this. */
  readonly others: readonly TestRow[];
  readonly onClose: () => void;
}

/** The samples behind a test, and on a wish those of another year over them. */
export function TraceSheet({ test, others, onClose }: Props) {
  const [beside, setBeside] = useState<string>('');
  const select = useId();
  const testIds = [test.id, ...(beside === '' ? [] : [beside as TestEventId])];
  const asked = useAsk('records.trace', { testIds }, { keep: true });
  return (
    <Modal title={`The samples of ${test.testedOn}`} open onClose={onClose} wide>
      {others.length > 0 && (
        <p className="trace-beside">
          <label htmlFor={select}>Laid over them, dashed, the test of</label>{' '}
          <select id={select} className="field" value={beside} onChange={(event) => setBeside(event.target.value)}>
            <option value="">no other year</option>
            {others.map((other) => (
              <option key={other.id} value={other.id}>
                {other.testedOn}
              </option>
            ))}
          </select>
        </p>
      )}
      {asked.isError ? (
        <Failed error={asked.error} />
      ) : asked.data ? (
        <>
          <TraceView traces={asked.data.traces} mainId={test.id} />
          {asked.data.traces.map((trace) => (
            <section
              key={`${trace.testId} ${trace.phase} ${trace.file}`}
              aria-label={`${trace.testedOn}, phase ${trace.phase}`}
              className="trace-phase"
            >
              <p>
                <span className="strong">
                  {trace.testId === test.id ? '' : `${trace.testedOn}, `}Phase {trace.phase}.
                </span>{' '}
                {traceSays(trace.reading)}{' '}
                <span className="caption">
                  {trace.file}, {whole(trace.sampleCount)} samples
                </span>
              </p>
            </section>
          ))}
          {[...new Set(asked.data.traces.flatMap((trace) => traceCautions(trace.reading)))].map((line) => (
            <p key={line} className="caution">
              {line}
            </p>
          ))}
        </>
      ) : (
        <Waiting />
      )}
      <div className="modal-acts">
        <button type="button" className="button" onClick={onClose}>
          Close
        </button>
      </div>
    </Modal>
  );
}
