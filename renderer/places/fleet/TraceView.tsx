import { useMemo, useState } from 'react';
import type { ShownTrace } from '../../../core/contract/shapes/records.ts';
import { FigureTable } from '../../charts/FigureTable.tsx';
import { figureCsv } from '../../charts/figureCsv.ts';
import { host } from '../../client/index.ts';
import { PhaseMark } from '../../parts/PhaseMark.tsx';
import { useWidth } from '../../parts/useWidth.ts';
import { cursorWords, type Quantity, quantities, quantityWords, traceFigure } from '../../words/trace.ts';
import { plotLeft, plotRight, TracePanel } from './TracePanel.tsx';
import { timeAxis } from './traceScale.ts';
import './trace.css';

interface Props {
  readonly traces: readonly ShownTrace[];
  readonly mainId: string;
}

/** Voltage, current and resistance against time, one under the other, with a cursor through all of them. */
export function TraceView({ traces, mainId }: Props) {
  const [place, width] = useWidth<HTMLDivElement>(760);
  const [shown, setShown] = useState<readonly Quantity[]>(['voltage', 'current']);
  // The charging current of the rise is a hundred times the leakage: on a plain scale it hides what matters.
  const [log, setLog] = useState(true);
  const [hidden, setHidden] = useState<readonly string[]>([]);
  const [asTable, setAsTable] = useState(false);
  const [cursorS, setCursorS] = useState<number | null>(null);
  const phases = [...new Set(traces.map((trace) => trace.phase))].sort();
  const drawn = useMemo(() => traces.filter((trace) => !hidden.includes(trace.phase)), [traces, hidden]);
  const along = useMemo(() => timeAxis(traces), [traces]);
  const toggled = <T,>(list: readonly T[], item: T): readonly T[] =>
    list.includes(item) ? list.filter((each) => each !== item) : [...list, item];
  const span = along.max - along.min;
  const move = (seconds: number): void => setCursorS(Math.min(along.max, Math.max(along.min, seconds)));
  const onKey = (key: string, large: boolean): boolean => {
    const step = span * (large ? 0.05 : 0.005);
    const from = cursorS ?? 0;
    const to = { ArrowRight: from + step, ArrowLeft: from - step, Home: along.min, End: along.max }[key];
    if (to === undefined) return false;
    move(to);
    return true;
  };
  const inOrder = quantities.filter((what) => shown.includes(what));
  const keepCsv = (): void =>
    void host.keepFile({
      name: `${traces[0]?.testOwnerId.replaceAll('/', '-') ?? 'trace'}-samples.csv`,
      mediaType: 'text/csv',
      encoding: 'utf8',
      content: inOrder.map((what) => figureCsv(traceFigure(drawn, what))).join(''),
    });
  return (
    <div className="trace-view">
      <p className="trace-tools caption">
        {quantities.map((what) => (
          <button
            key={what}
            type="button"
            className="word"
            aria-pressed={shown.includes(what)}
            onClick={() => setShown(toggled(shown, what))}
          >
            {what}
          </button>
        ))}
        <button type="button" className="word" aria-pressed={log} onClick={() => setLog(!log)}>
          log current
        </button>
        {phases.length > 1 &&
          phases.map((phase) => (
            <button
              key={phase}
              type="button"
              className="word"
              aria-pressed={!hidden.includes(phase)}
              aria-label={`phase ${phase}`}
              onClick={() => setHidden(toggled(hidden, phase))}
            >
              <PhaseMark phase={phase} /> {phase}
            </button>
          ))}
        <span className="trace-tools-end">
          <button type="button" className="word" aria-pressed={asTable} onClick={() => setAsTable(!asTable)}>
            {asTable ? 'chart' : 'table'}
          </button>
          <button type="button" className="word" onClick={keepCsv}>
            CSV
          </button>
        </span>
      </p>
      {asTable ? (
        inOrder.map((what) => <FigureTable key={what} figure={traceFigure(drawn, what)} />)
      ) : (
        <>
          <div
            ref={place}
            className="trace-place"
            role="slider"
            tabIndex={0}
            aria-label="Cursor along the test; arrow keys move it. The button “table” shows the same samples as a table."
            aria-valuemin={Math.round(along.min)}
            aria-valuemax={Math.round(along.max)}
            aria-valuenow={Math.round(cursorS ?? 0)}
            aria-valuetext={cursorWords(drawn, cursorS ?? 0, shown)}
            onKeyDown={(event) => {
              if (onKey(event.key, event.shiftKey)) event.preventDefault();
            }}
            onPointerMove={(event) => {
              const box = event.currentTarget.getBoundingClientRect();
              const share = (event.clientX - box.left - plotLeft) / (box.width - plotLeft - plotRight);
              move(along.min + share * span);
            }}
          >
            {width > 0 &&
              inOrder.map((what, i) => (
                <TracePanel
                  key={what}
                  what={what}
                  traces={drawn}
                  mainId={mainId}
                  along={along}
                  log={log && what !== 'voltage'}
                  width={width}
                  height={i === inOrder.length - 1 ? 186 : 170}
                  cursorS={cursorS}
                  last={i === inOrder.length - 1}
                />
              ))}
          </div>
          <p className="figure-says caption" aria-hidden="true">
            {cursorS === null
              ? `${inOrder.map((what) => quantityWords[what]).join(', ')}; time from the moment the highest voltage was reached. Move along the chart to read the samples.`
              : cursorWords(drawn, cursorS, shown)}
          </p>
        </>
      )}
    </div>
  );
}
