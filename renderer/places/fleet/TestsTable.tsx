import { Fragment, useState } from 'react';
import type { ReplacedTest, SegmentPage, TestRow } from '../../../core/contract/asks/segment.ts';
import { PhaseMark } from '../../parts/PhaseMark.tsx';
import { inWords } from '../../words/labels.ts';
import { asSet, measured } from '../../words/numbers.ts';
import { lastStep, leakage, replacedWords, spanOf, testsHeads, testsWords } from '../../words/segment.ts';
import { temperature, temperatureUnit, type UnitSystem } from '../../words/units.ts';
import { hrefOf } from '../route.ts';
import { useUnits } from '../settings.ts';
import { Readings } from './Readings.tsx';

const phases = ['A', 'B', 'C'] as const;

/** Every test of the segment, newest first; a date opens its readings. */
export function TestsTable({ page }: { readonly page: SegmentPage }) {
  const units = useUnits();
  const [open, setOpen] = useState<ReadonlySet<string>>(new Set());
  const shown = phases.filter((phase) => page.phases.includes(phase) || page.tests.some((t) => lastStep(t, phase)));
  const brief = page.retiredOn === null && (
    <p className="actions no-print">
      <a className="button first" href={hrefOf('retests', page.ownerId)}>
        {testsHeads.brief}
      </a>
    </p>
  );
  if (page.tests.length === 0 && page.replacedTests.length === 0)
    return (
      <div className="section-head">
        <p className="second">{testsHeads.none}</p>
        {brief}
      </div>
    );
  const toggle = (id: string): void => {
    const next = new Set(open);
    if (!next.delete(id)) next.add(id);
    setOpen(next);
  };
  return (
    <section aria-label="Tests">
      <div className="section-head">
        <p className="caption">{testsWords(page)}</p>
        {brief}
      </div>
      <div className="tests-scroll">
        <table className="ledger tests-table">
          <thead>
            <tr>
              <th scope="col" className="left">
                {testsHeads.tested}
              </th>
              <th scope="col">{testsHeads.kv}</th>
              <th scope="col">{testsHeads.minutes}</th>
              <th scope="col">{temperatureUnit(units)}</th>
              {shown.map((phase) => (
                <th scope="col" key={phase}>
                  <PhaseMark phase={phase} /> {phase}, µA
                </th>
              ))}
              <th scope="col">{testsHeads.level}</th>
              <th scope="col" className="left">
                {testsHeads.instrument}
              </th>
              <th scope="col" className="left">
                {testsHeads.says}
              </th>
            </tr>
          </thead>
          <tbody>
            {page.tests.map((test) => (
              <Fragment key={test.id}>
                <TestLine
                  test={test}
                  shown={shown}
                  units={units}
                  open={open.has(test.id)}
                  onToggle={() => toggle(test.id)}
                />
                {open.has(test.id) && (
                  <tr className="readings">
                    <td colSpan={7 + shown.length}>
                      <Readings
                        test={test}
                        others={page.tests.filter((other) => other.hasTrace && other.id !== test.id)}
                        units={units}
                      />
                    </td>
                  </tr>
                )}
                {page.replacedTests
                  .filter((replaced) => replaced.byId === test.id)
                  .map((replaced) => (
                    <ReplacedLine key={replaced.id} test={replaced} shown={shown} units={units} />
                  ))}
              </Fragment>
            ))}
            {page.replacedTests
              .filter((replaced) => !page.tests.some((test) => test.id === replaced.byId))
              .map((replaced) => (
                <ReplacedLine key={replaced.id} test={replaced} shown={shown} units={units} />
              ))}
          </tbody>
        </table>
      </div>
    </section>
  );
}

interface LineProps {
  readonly test: TestRow;
  readonly shown: readonly ('A' | 'B' | 'C')[];
  readonly units: UnitSystem;
  readonly open: boolean;
  readonly onToggle: () => void;
}

/** Voltage, minutes, temperature and the current of each phase, as every line of the table has them. */
function ReadCells({
  test,
  shown,
  units,
}: { readonly test: Pick<ReplacedTest, 'readings'> } & Pick<LineProps, 'shown' | 'units'>) {
  const last = shown.map((phase) => lastStep(test, phase));
  const read = last.filter((reading) => reading !== null);
  return (
    <>
      <td>
        {spanOf(
          read.map((r) => r.voltageKv),
          asSet,
        )}
      </td>
      <td>
        {spanOf(
          read.map((r) => r.dwellMin),
          asSet,
        )}
      </td>
      <td>
        {spanOf(
          read.map((r) => r.insulationTempC ?? r.ambientTempC),
          (c) => temperature(c, units),
        )}
      </td>
      {last.map((reading, at) => (
        <td key={shown[at]}>{reading === null ? '–' : leakage(reading)}</td>
      ))}
    </>
  );
}

/** A test that a correction replaced: it stays on record and counts for nothing. */
function ReplacedLine({ test, shown, units }: { readonly test: ReplacedTest } & Pick<LineProps, 'shown' | 'units'>) {
  return (
    <tr className="replaced">
      <td className="left">{test.testedOn}</td>
      <ReadCells test={test} shown={shown} units={units} />
      <td className="none">–</td>
      <td className="left says" colSpan={2}>
        {replacedWords(test)}
      </td>
    </tr>
  );
}

function TestLine({ test, shown, units, open, onToggle }: LineProps) {
  return (
    <tr className={open ? 'open' : ''}>
      <td className="left">
        <button type="button" className="fold" aria-expanded={open} onClick={onToggle}>
          {test.testedOn}
        </button>
      </td>
      <ReadCells test={test} shown={shown} units={units} />
      <td>{test.nsPerKmAt20C === null ? '–' : measured(test.nsPerKmAt20C)}</td>
      <td className="left">
        {test.instrument?.name ?? 'not recorded'}
        {test.calibration === 'out of calibration' && <span className="caution">, out of calibration</span>}
      </td>
      <td className="left says">
        {test.says}
        {test.method !== 'dc_withstand' && <span className="second"> · {inWords(test.method)}</span>}
      </td>
    </tr>
  );
}
