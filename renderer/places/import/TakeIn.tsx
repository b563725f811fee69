import { useEffect, useRef, useState } from 'react';
import type { OutputOf } from '../../../core/contract/asks/index.ts';
import { ask, host } from '../../client/index.ts';
import { asProblem } from '../../parts/asProblem.ts';
import { Say } from '../../parts/Say.tsx';
import { Empty, Failed } from '../../parts/states.tsx';
import { say } from '../../parts/toast.ts';
import { folderAbout, importInvites, importOpening } from '../../words/importing.ts';
import { onLeft, take } from '../frame/dropped.ts';
import { hrefOf } from '../route.ts';
import { Aside } from './Aside.tsx';
import { ImportReport } from './ImportReport.tsx';
import { ImportWaiting } from './ImportWaiting.tsx';
import { OwnersTables, type Tables } from './OwnersTables.tsx';
import { TesterFiles } from './TesterFiles.tsx';

type Report = OutputOf<'fleet.import'>;
type Preview = OutputOf<'records.preview'>;

/** Testers' files that were looked at, beside the tables or alone. */
interface Records {
  readonly preview: Preview;
  readonly paths: readonly string[];
  readonly aside: readonly string[];
}

type Stage =
  | { readonly at: 'asking' }
  | { readonly at: 'working'; readonly what: 'reading' | 'writing'; readonly stop: AbortController }
  | { readonly at: 'records'; readonly records: Records }
  | {
      readonly at: 'seen';
      readonly paths: readonly string[];
      readonly report: Report;
      readonly tables: Tables | null;
      readonly records: Records | null;
    }
  | { readonly at: 'done'; readonly report: Report; readonly records: Records | null }
  | { readonly at: 'failed'; readonly error: unknown; readonly again: (() => void) | null };

/** Takes files in: first what would change, then, on a word, the change. */
export function TakeIn({ readOnly }: { readonly readOnly: boolean }) {
  const [stage, setStage] = useState<Stage>({ at: 'asking' });
  const gone = useRef(false);
  const lookAt = async (
    paths: readonly string[],
    aside: readonly string[],
    signal?: AbortSignal,
  ): Promise<Records> => ({
    preview: await ask('records.preview', { paths: [...paths], aside: aside as never[] }, signal ? { signal } : {}),
    paths,
    aside,
  });
  /** Testers' files are looked at again after each acceptance; the tables beside them stay as they are. */
  const lookAgain = async ({ paths, aside }: Records): Promise<void> => {
    const records = await lookAt(paths, aside);
    setStage((now) => ('records' in now ? { ...now, records } : now));
  };
  const run = async (
    paths: readonly string[],
    preview: string | null,
    aside: readonly string[] = [],
  ): Promise<void> => {
    const dryRun = preview === null;
    const stop = new AbortController();
    setStage({ at: 'working', what: dryRun ? 'reading' : 'writing', stop });
    try {
      const looked = await lookAt(paths, aside, stop.signal);
      const records = looked.preview.files.length > 0 ? looked : null;
      if (!looked.preview.tables && records) {
        if (!gone.current) setStage({ at: 'records', records });
        return;
      }
      const tables = dryRun ? await ask('records.tables', { paths: [...paths] }, { signal: stop.signal }) : null;
      const report = await ask(
        'fleet.import',
        { paths: [...paths], dryRun, testers: 'leave', ...(preview === null ? {} : { preview }) },
        { signal: stop.signal },
      );
      if (gone.current) {
        if (!dryRun) say('The import is done.');
        return;
      }
      if (dryRun || !report.committed)
        setStage({ at: 'seen', paths, report, tables: tables && tables.tables.length > 0 ? tables : null, records });
      else setStage({ at: 'done', report, records: records && (await lookAt(paths, aside)) });
    } catch (error) {
      if (asProblem(error).code === 'cancelled') {
        setStage({ at: 'asking' });
        say('Cancelled; nothing was changed.');
      } else setStage({ at: 'failed', error, again: () => void run(paths, null) });
    }
  };
  const look = async (picking: Promise<readonly string[]>): Promise<void> => {
    try {
      const paths = await picking;
      if (paths.length > 0) await run(paths, null);
    } catch (error) {
      setStage({ at: 'failed', error, again: null });
    }
  };
  const looking = useRef(look);
  looking.current = look;
  useEffect(() => {
    gone.current = false;
    const takeLeft = (): void => {
      const left = take();
      if (left) void looking.current(left);
    };
    takeLeft();
    const unfollow = onLeft(takeLeft);
    return () => {
      gone.current = true;
      unfollow();
    };
  }, []);
  const restart = (): void => setStage({ at: 'asking' });
  return (
    <>
      {readOnly ? (
        <Empty title="This fleet is open read-only">
          <p>Nothing can be taken in. Open it for writing from the menu under the utility’s name.</p>
        </Empty>
      ) : stage.at === 'asking' ? (
        <Ask onPick={(picking) => void look(picking)} onAside={(ids) => void run([], null, ids)} />
      ) : stage.at === 'records' ? (
        <>
          <Records records={stage.records} onAgain={() => lookAgain(stage.records)} />
          <button type="button" className="button" onClick={restart}>
            Choose other files
          </button>
        </>
      ) : stage.at === 'working' ? (
        <ImportWaiting what={stage.what} onStop={() => stage.stop.abort()} />
      ) : stage.at === 'failed' ? (
        <>
          <Failed error={stage.error} {...(stage.again ? { again: stage.again } : {})} />
          <button type="button" className="button" onClick={restart}>
            Choose other files
          </button>
        </>
      ) : (
        <>
          <Say sentence={importOpening(stage.report)} />
          {stage.at === 'seen' ? (
            <div className="actions import-acts">
              {stage.report.refusedCount === 0 && stage.report.changes > 0 && (
                <button
                  type="button"
                  className="button first"
                  onClick={() => void run(stage.paths, stage.report.preview)}
                >
                  Take it in
                </button>
              )}
              <button type="button" className="button" onClick={() => void run(stage.paths, null)}>
                Read the files again
              </button>
              <button type="button" className="button" onClick={restart}>
                Choose other files
              </button>
            </div>
          ) : (
            <div className="actions import-acts">
              <a className="button first" href={hrefOf('ranking')}>
                See the ranking
              </a>
              <button type="button" className="button" onClick={restart}>
                Import more
              </button>
            </div>
          )}
          {stage.at === 'seen' && stage.tables && (
            <OwnersTables tables={stage.tables} paths={stage.paths} onAgain={() => void run(stage.paths, null)} />
          )}
          <ImportReport report={stage.report} />
          {stage.records && <Records records={stage.records} onAgain={() => lookAgain(stage.records!)} />}
        </>
      )}
    </>
  );
}

const Records = ({ records, onAgain }: { readonly records: Records; readonly onAgain: () => Promise<void> }) => (
  <TesterFiles preview={records.preview} paths={records.paths} aside={records.aside} onAgain={onAgain} />
);

interface AskProps {
  readonly onPick: (picking: Promise<readonly string[]>) => void;
  readonly onAside: (ids: readonly string[]) => void;
}

function Ask({ onPick, onAside }: AskProps) {
  return (
    <>
      <Say sentence={[importInvites]} />
      <div className="actions import-acts">
        <button type="button" className="button first" onClick={() => onPick(host.pickFolder())}>
          Choose a folder…
        </button>
        <button
          type="button"
          className="button"
          onClick={() =>
            onPick(
              host.pickFiles({
                kinds: [{ name: 'Tables and traces', extensions: ['csv', 'xlsx', 'txt', 'json', 'zip'] }],
              }),
            )
          }
        >
          Choose files…
        </button>
      </div>
      <p className="second">
        No file at all? <a href={hrefOf('retests')}>Retests</a> takes a test typed by hand, phase by phase.
      </p>
      <Aside onLook={onAside} />
      <div className="import-teach">
        <h2>What a fleet folder holds</h2>
        <p className="second">{folderAbout}</p>
        <table className="ledger">
          <tbody>
            {folder.map(([file, holds]) => (
              <tr key={file}>
                <td className="left strong nowrap">{file}</td>
                <td className="left second">{holds}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </>
  );
}

const folder = [
  ['substations.csv', 'substation_id, name, region'],
  ['feeders.csv', 'feeder_id, substation_id, name, nominal_kv, customers, peak_load_kva'],
  ['segments.csv', 'segment_id, feeder_id, name, length with length_unit, rated_kv, insulation, energised_on and more'],
  [
    'tests.csv',
    'a row a reading: test_id, segment_id, tested_on, phase, method, voltage_kv, dwell_min, leakage with leakage_unit',
  ],
  ['splices.csv, terminations.csv', 'where, what kind, when installed and removed'],
  ['interventions.csv, failures.csv', 'what was done and what failed, and when'],
  ['instruments.csv, calibrations.csv', 'serial numbers and certificates'],
  ['limits.csv', 'insulation, limit_ns_per_km'],
] as const;
