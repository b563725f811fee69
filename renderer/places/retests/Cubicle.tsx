import type { Phase } from '../../../core/contract/shapes/trade.ts';
import { asProblem } from '../../parts/asProblem.ts';
import { PhaseMark } from '../../parts/PhaseMark.tsx';
import { measured } from '../../words/numbers.ts';
import { type Brief, placeWords } from '../../words/retest.ts';
import { aboveLimitWords, cubicleHelp } from '../../words/retestForms.ts';
import { useAsk } from '../asking.ts';

/** Readings as they were typed, µA; the form that records the test begins with them. */
export type TypedReadings = Readonly<Partial<Record<Phase, string>>>;

interface Props {
  readonly brief: Brief;
  readonly typed: TypedReadings;
  readonly onTyped: (typed: TypedReadings) => void;
}

/** What was typed as a number, µA; NaN where it is none. */
const readingOf = (typed: string | undefined): number => Number((typed ?? '').trim() || Number.NaN);

/** At the cubicle: a reading is typed, and the sheet says at once whether it is as expected. Nothing is recorded. */
export function Cubicle({ brief, typed, onTyped }: Props) {
  const phases = brief.expected.map((each) => each.phase);
  const readings = phases.flatMap((phase) => {
    const leakageUa = readingOf(typed[phase]);
    return leakageUa > 0 && leakageUa < Number.POSITIVE_INFINITY ? [{ phase, leakageUa }] : [];
  });
  const { planned } = brief;
  const unread = phases.filter((phase) => (typed[phase] ?? '').trim() !== '' && !(readingOf(typed[phase]) > 0));
  const ready = readings.length > 0 && planned.voltageKv.known;
  const judged = useAsk(
    'retest.judge',
    {
      segmentId: brief.segmentId,
      voltageKv: planned.voltageKv.known ? planned.voltageKv.value : 1,
      dwellMin: planned.dwellMin.value,
      ...(planned.tempSdC === 0 ? { tempC: planned.tempC.value } : {}),
      on: brief.on,
      readings: ready ? readings : [{ phase: 'A', leakageUa: 1 }],
    },
    { enabled: ready, keep: true },
  );
  const answer = ready ? judged.data : undefined;
  return (
    <section aria-label="At the cubicle" className="cubicle">
      <div className="section-head">
        <h2>At the cubicle</h2>
        <p className="caption">{cubicleHelp}</p>
      </div>
      <div className="cubicle-fields">
        {phases.map((phase) => {
          const judgedPhase = answer?.phases.find((each) => each.phase === phase);
          const verdict = judgedPhase?.verdict;
          const expected = brief.expected.find((each) => each.phase === phase)?.reading;
          const limitUa = expected?.known ? expected.limitUa : null;
          const isAbove = judgedPhase !== undefined && limitUa !== null && judgedPhase.leakageUa > limitUa;
          return (
            <label key={phase} className="cubicle-phase">
              <span>
                <PhaseMark phase={phase} /> {phase}
              </span>
              <input
                className="field"
                inputMode="decimal"
                aria-label={`Reading of phase ${phase}, µA`}
                value={typed[phase] ?? ''}
                onChange={(event) => onTyped({ ...typed, [phase]: event.target.value })}
                onKeyDown={(event) => {
                  if (event.key === 'Enter' || event.key === 'Escape') event.currentTarget.blur();
                }}
              />
              <span
                className={verdict?.known && verdict.says === 'far above' ? 'caution strong' : 'strong'}
                role="status"
              >
                {verdict === undefined ? '\u00a0' : verdict.known ? verdict.says : verdict.because}
              </span>
              {verdict?.known && <span className="caption">{placeWords(verdict.placePct)}</span>}
              {isAbove && <span className="caution">{aboveLimitWords(limitUa)}</span>}
            </label>
          );
        })}
      </div>
      {unread.length > 0 && (
        <p className="caution">
          {unread.join(', ')}: a plain number of µA above 0, with a point before its decimals, please. A reading below
          what the instrument shows is recorded, not judged.
        </p>
      )}
      {readings.length > 0 && !planned.voltageKv.known && (
        <p className="caution">Not judged: {planned.voltageKv.because}.</p>
      )}
      {ready && judged.isError && <p className="caution">{asProblem(judged.error).message}</p>}
      {answer && (
        <>
          <p className="cubicle-says">{answer.sentence}</p>
          {answer.stop.map((line) => (
            <p key={line} className="caution">
              {line}
            </p>
          ))}
          {answer.before.known && answer.after.known && (
            <p className="second">
              Growth would go from {measured(answer.before.growthPctPerYr.value)} to{' '}
              {measured(answer.after.growthPctPerYr.value)} % a year, rank from {answer.before.rank} to{' '}
              {answer.after.rank}. {answer.basis}
            </p>
          )}
        </>
      )}
    </section>
  );
}
