import { useState } from 'react';
import type { TestRow } from '../../../core/contract/asks/segment.ts';
import { readingsHeads } from '../../words/heads.ts';
import { inWords } from '../../words/labels.ts';
import { asSet, fixed, measured } from '../../words/numbers.ts';
import { leakage } from '../../words/segment.ts';
import { temperature, temperatureUnit, type UnitSystem } from '../../words/units.ts';
import { TraceSheet } from './TraceSheet.tsx';

interface Props {
  readonly test: TestRow;
  /** Other tests of the segment that have samples. */
  readonly others: readonly TestRow[];
  readonly units: UnitSystem;
}

/** The readings of one test as the crew took them, and what the model made of each. */
export function Readings({ test, others, units }: Props) {
  const [samples, setSamples] = useState(false);
  const facts = [
    `Test ${test.ownerId}`,
    inWords(test.method),
    ...(test.purpose === null ? [] : [inWords(test.purpose)]),
    ...(test.crew === null ? [] : [`crew ${test.crew}`]),
    `instrument ${test.calibration === 'unknown' ? 'calibration not recorded' : test.calibration}`,
    ...(test.surpriseSd === null
      ? []
      : [`${fixed(test.surpriseSd, 1)} standard deviations from what the other tests say`]),
  ];
  const note = test.readings.find((reading) => reading.note !== null)?.note;
  return (
    <>
      <p className="caption">
        {facts.join(' · ')}
        {test.hasTrace && (
          <>
            {' · '}
            <button type="button" className="word" onClick={() => setSamples(true)}>
              the samples
            </button>
          </>
        )}
      </p>
      {samples && <TraceSheet test={test} others={others} onClose={() => setSamples(false)} />}
      <table className="ledger">
        <thead>
          <tr>
            <th scope="col" className="left">
              {readingsHeads.phase}
            </th>
            <th scope="col">{readingsHeads.step}</th>
            <th scope="col">{readingsHeads.kv}</th>
            <th scope="col">{readingsHeads.min}</th>
            <th scope="col">{readingsHeads.microAmps}</th>
            <th scope="col">Cable {temperatureUnit(units)}</th>
            <th scope="col">Air {temperatureUnit(units)}</th>
            <th scope="col">{readingsHeads.humidityPct}</th>
            <th scope="col">{readingsHeads.levelAt20Celsius}</th>
            <th scope="col" className="left">
              {readingsHeads.outcome}
            </th>
            <th scope="col" className="left">
              {readingsHeads.inTheModel}
            </th>
          </tr>
        </thead>
        <tbody>
          {test.readings.map((r) => (
            <tr key={`${r.phase} ${r.step}`}>
              <td className="left">{r.phase}</td>
              <td>{r.step}</td>
              <td>{asSet(r.voltageKv)}</td>
              <td>{r.dwellMin === null ? '–' : asSet(r.dwellMin)}</td>
              <td>{leakage(r)}</td>
              <td>{r.insulationTempC === null ? '–' : temperature(r.insulationTempC, units)}</td>
              <td>{r.ambientTempC === null ? '–' : temperature(r.ambientTempC, units)}</td>
              <td>{r.humidityPct === null ? '–' : fixed(r.humidityPct, 0)}</td>
              <td>{r.nsPerKmAt20C === null ? '–' : measured(r.nsPerKmAt20C)}</td>
              <td className="left">{r.outcome === null ? '–' : inWords(r.outcome)}</td>
              <td className="left">{r.useBecause === null ? r.use : `${r.use}: ${r.useBecause}`}</td>
            </tr>
          ))}
        </tbody>
      </table>
      {note && <p className="caption">Crew’s note: {note}</p>}
    </>
  );
}
