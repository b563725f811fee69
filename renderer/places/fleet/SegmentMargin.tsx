import type { SegmentPage } from '../../../core/contract/asks/segment.ts';
import { MarginNote, MarginNotes } from '../../parts/MarginNotes.tsx';
import { asSet, chance } from '../../words/numbers.ts';
import { directVoltageWords, spliceWords } from '../../words/segment.ts';
import { whyThisRank } from '../../words/standing.ts';
import { useUnits } from '../settings.ts';
import { CableNote, type Editing } from './CableNote.tsx';

const forecastTitle = 'What the forecast means';

/** Why, what it means, cautions, and what else is known. */
export function SegmentMargin({ page, editing }: { readonly page: SegmentPage; readonly editing: Editing | null }) {
  const units = useUnits();
  const s = page.standing;
  const why = s.known ? 'Why this rank' : 'Why no rank';
  const titles = [
    why,
    ...(s.known ? [forecastTitle] : []),
    'Splices',
    editing ? 'The cable, to edit or retire' : 'The cable',
  ];
  return (
    <MarginNotes titles={titles}>
      <MarginNote number={1} title={why}>
        {whyThisRank(s).map((line) => (
          <p key={line}>{line}</p>
        ))}
      </MarginNote>
      {s.known && (
        <MarginNote number={2} title={forecastTitle}>
          <p>{page.forecastCaution}</p>
          {s.limitNsPerKm !== null && (
            <p>
              The limit is {asSet(s.limitNsPerKm)} nS/km ({s.limitSource}). Chance to exceed it within 1, 2, 5, 10
              years: {[s.pExceed.y1, s.pExceed.y2, s.pExceed.y5, s.pExceed.y10].map(chance).join(', ')}.
            </p>
          )}
        </MarginNote>
      )}
      {page.directVoltageCaution && (
        <MarginNote title="Direct voltage on this cable" caution>
          <p>{directVoltageWords(page.directVoltageCaution)}</p>
        </MarginNote>
      )}
      <MarginNote title="Splices">
        <p>{spliceWords(page, units)}</p>
      </MarginNote>
      <CableNote page={page} editing={editing} />
    </MarginNotes>
  );
}
