import { useMemo } from 'react';
import type { TestRow } from '../../../core/contract/asks/segment.ts';
import type { ShownTrace } from '../../../core/contract/shapes/records.ts';
import { Figure } from '../../charts/Figure.tsx';
import { Modal } from '../../parts/Modal.tsx';
import { Failed, Waiting } from '../../parts/states.tsx';
import { whole } from '../../words/numbers.ts';
import { traceCautions, traceFigure, traceSays } from '../../words/trace.ts';
import { useAsk } from '../asking.ts';

/** The samples behind a test, phase by phase. */
export function TraceSheet({ test, onClose }: { readonly test: TestRow; readonly onClose: () => void }) {
  const asked = useAsk('records.trace', { testIds: [test.id] });
  return (
    <Modal title={`The samples of ${test.testedOn}`} open onClose={onClose} wide>
      {asked.isError ? (
        <Failed error={asked.error} />
      ) : asked.data ? (
        asked.data.traces.map((trace) => <Trace key={`${trace.testId} ${trace.phase} ${trace.file}`} trace={trace} />)
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

function Trace({ trace }: { readonly trace: ShownTrace }) {
  const current = useMemo(() => traceFigure([trace], 'current'), [trace]);
  const voltage = useMemo(() => traceFigure([trace], 'voltage'), [trace]);
  const name = `${trace.testOwnerId}-${trace.phase}`;
  return (
    <section aria-label={`Phase ${trace.phase}`} className="trace-phase">
      <h3>
        Phase {trace.phase} · {trace.file} · {whole(trace.sampleCount)} samples
      </h3>
      <p>{traceSays(trace.reading)}</p>
      {traceCautions(trace.reading).map((line) => (
        <p key={line} className="caution">
          {line}
        </p>
      ))}
      <Figure figure={current} fileName={`${name}-current`} height={200} />
      <Figure figure={voltage} fileName={`${name}-voltage`} height={140} />
    </section>
  );
}
