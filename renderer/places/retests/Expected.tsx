import { PhaseMark } from '../../parts/PhaseMark.tsx';
import { fixed, whole } from '../../words/numbers.ts';
import { type Brief, microamps, span90 } from '../../words/retest.ts';

/** The reading to expect on each phase, in the largest figures of the sheet; beside it how long to earth afterwards. */
export function Expected({ brief }: { readonly brief: Brief }) {
  const silent = commonReason(brief);
  return (
    <section aria-label="What to expect">
      <div className="section-head">
        <h2>Expect</h2>
      </div>
      <div className="expected">
        {silent !== null && <p className="second expected-none">Cannot be told: {silent}.</p>}
        {silent === null &&
          brief.expected.map(({ phase, reading }) => (
            <div key={phase} className="expected-phase">
              <p className="caption">
                <PhaseMark phase={phase} /> phase {phase}
              </p>
              {reading.known ? (
                <>
                  <p className="expected-figure">
                    {microamps(reading.ua.value)} <span className="expected-unit">µA</span>
                  </p>
                  <p>{span90(reading.ua)}, 9 times in 10</p>
                  <p className="second">over {microamps(reading.farUa)} is far above</p>
                  {reading.limitUa !== null && (
                    <p className="second">limit of one phase: {microamps(reading.limitUa)}</p>
                  )}
                </>
              ) : (
                <p className="second">cannot be told: {reading.because}</p>
              )}
            </div>
          ))}
        <div className="expected-phase">
          <p className="caption">earth afterwards</p>
          <p className="expected-figure">
            {whole(brief.earthing.minutes)} <span className="expected-unit">min</span>
          </p>
          <p>at the least, before touching</p>
          {brief.energy.known && (
            <p className="second">
              {fixed(brief.energy.energyJ, 0)} J stored in {fixed(brief.energy.capacitanceNf, 0)} nF
            </p>
          )}
        </div>
      </div>
      {brief.foreseen.map((words) => (
        <p key={words} className="caution foreseen">
          {words}
        </p>
      ))}
      {brief.expected.some(({ reading }) => reading.known) && <p className="caption">{brief.expectedSays}</p>}
    </section>
  );
}

/** The one reason why no phase can be told, where there is one. */
function commonReason(brief: Brief): string | null {
  const reasons = brief.expected.map(({ reading }) => (reading.known ? null : reading.because));
  return reasons.length > 0 && reasons[0] !== null && reasons.every((each) => each === reasons[0]) ? reasons[0]! : null;
}
