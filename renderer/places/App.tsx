import { lazy, Suspense, useCallback, useEffect, useRef, useState } from 'react';
import type { OutputOf } from '../../core/contract/asks/index.ts';
import { fetchCharts } from '../charts/fetchCharts.ts';
import { rehearse } from '../charts/rehearse.ts';
import { Inks } from '../parts/Inks.tsx';
import { idle } from '../parts/idle.ts';
import { Failed, Waiting } from '../parts/states.tsx';
import { UndoToast } from '../parts/UndoToast.tsx';
import { WorkTray } from '../parts/WorkTray.tsx';
import { useAsk } from './asking.ts';
import { readFirstLooks } from './firstLooks.ts';
import { FleetPlace } from './fleet/FleetPlace.tsx';
import { Behind } from './frame/Behind.tsx';
import { Header } from './frame/Header.tsx';
import { NewFleet } from './frame/NewFleet.tsx';
import { ShortcutsSheet } from './frame/ShortcutsSheet.tsx';
import { useDrops } from './frame/useDrops.ts';
import { useKeys } from './frame/useKeys.ts';
import { useMenuWords } from './frame/useMenuWords.ts';
import { useHostState } from './hostState.ts';
import { later, Shown } from './later.tsx';
import { useRoute } from './route.ts';
import './app.css';

const ranking = later(async () => (await import('./ranking/RankingPlace.tsx')).RankingPlace);
const plan = later(async () => (await import('./plan/PlanPlace.tsx')).PlanPlace);
const retests = later(async () => (await import('./retests/RetestsPlace.tsx')).RetestsPlace);
const evidence = later(async () => (await import('./evidence/EvidencePlace.tsx')).EvidencePlace);
const taking = later(async () => (await import('./import/ImportPlace.tsx')).ImportPlace);
const Welcome = lazy(async () => ({ default: (await import('./welcome/Welcome.tsx')).Welcome }));

/** Fetches what the first paint did not need, scripts and answers, a piece whenever the page has nothing else to do. */
async function fetchTheRest(info: OutputOf<'fleet.info'>): Promise<void> {
  for (const fetch of [ranking.fetch, retests.fetch, fetchCharts, rehearse, plan.fetch, evidence.fetch, taking.fetch]) {
    await idle();
    await fetch();
  }
  await readFirstLooks(info);
}

/** The window: the header, one of six places, and what floats above them. */
export function App() {
  const state = useHostState();
  const open = state.data?.fleet ?? null;
  const [sheet, setSheet] = useState(false);
  const [naming, setNaming] = useState(false);
  const showSheet = useCallback(() => setSheet(true), []);
  const askName = useCallback(() => setNaming(true), []);
  useKeys(open !== null, showSheet);
  useMenuWords(showSheet, askName);
  const over = useDrops(open !== null && !open.readOnly);
  return (
    <div className="frame">
      <Inks />
      {state.isError ? (
        <main className="place alone">
          <Failed error={state.error} again={() => void state.refetch()} />
        </main>
      ) : open === null ? (
        <Suspense fallback={<Opening />}>{state.data ? <Welcome state={state.data} /> : <Opening />}</Suspense>
      ) : (
        <OpenFleet
          key={`${open.file} ${open.readOnly}`}
          readOnly={open.readOnly}
          because={open.because}
          onShortcuts={showSheet}
        />
      )}
      {over && (
        <div className="drop-veil">Let go to look at what would change. Nothing is taken in before you say so.</div>
      )}
      {naming && <NewFleet onClose={() => setNaming(false)} />}
      <ShortcutsSheet open={sheet} onClose={() => setSheet(false)} />
      <WorkTray />
      <UndoToast />
    </div>
  );
}

/** The first moment, before the host has said which fleet is open. */
function Opening() {
  return (
    <header className="header">
      <span className="header-name opening">Cable Yearbook</span>
    </header>
  );
}

interface OpenFleetProps {
  readonly readOnly: boolean;
  readonly because: string | null;
  readonly onShortcuts: () => void;
}

function OpenFleet({ readOnly, because, onShortcuts }: OpenFleetProps) {
  const { place, id } = useRoute();
  const info = useAsk('fleet.info', {});
  const utility = info.data?.utilityName ?? '';
  const atFirst = useRef(info.data);
  atFirst.current ??= info.data;
  const isHere = info.data !== undefined;
  useEffect(() => {
    if (isHere && atFirst.current) void fetchTheRest(atFirst.current);
  }, [isHere]);
  useEffect(() => {
    document.title = [utility, readOnly ? 'read-only' : '', 'Cable Yearbook'].filter((part) => part !== '').join(' · ');
  }, [utility, readOnly]);
  return (
    <>
      <Header utility={utility} readOnly={readOnly} because={because} onShortcuts={onShortcuts} />
      {info.data?.rankingBehind && <Behind revision={info.data.revision} />}
      <main className="place" id="place" tabIndex={-1}>
        {info.isError ? (
          <Failed error={info.error} again={() => void info.refetch()} />
        ) : (
          info.data && (
            <Suspense fallback={<Waiting words="Opening…" />}>
              {place === 'fleet' && <FleetPlace info={info.data} segmentId={id} />}
              {place === 'ranking' && <Shown place={ranking} given={{ fleet: info.data.file, compared: id }} />}
              {place === 'plan' && <Shown place={plan} given={{ info: info.data, section: id }} />}
              {place === 'retests' && <Shown place={retests} given={{ info: info.data, segment: id }} />}
              {place === 'evidence' && <Shown place={evidence} given={{ info: info.data, section: id }} />}
              {place === 'import' && <Shown place={taking} given={{ section: id, readOnly }} />}
            </Suspense>
          )
        )}
      </main>
    </>
  );
}
