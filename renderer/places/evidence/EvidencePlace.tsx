import { useState } from 'react';
import type { OutputOf } from '../../../core/contract/asks/index.ts';
import { ask, host } from '../../client/index.ts';
import { Period, type PeriodDays } from '../../parts/Period.tsx';
import { SectionNav } from '../../parts/SectionNav.tsx';
import { type EvidenceSection, evidenceSections, hashWords } from '../../words/evidence.ts';
import { save } from '../acts.ts';
import { hrefOf } from '../route.ts';
import { Calibration } from './Calibration.tsx';
import { Completeness } from './Completeness.tsx';
import { firstPeriod } from './firstPeriod.ts';
import { Ledger } from './Ledger.tsx';
import { People } from './People.tsx';
import { Register } from './Register.tsx';
import { Sample } from './Sample.tsx';
import { Verify } from './Verify.tsx';
import './evidence.css';
import { bagWritten } from '../../words/evidenceForms.ts';

interface Props {
  readonly info: OutputOf<'fleet.info'>;
  readonly section: string | null;
}

const sections = (Object.keys(evidenceSections) as EvidenceSection[]).map((id) => ({
  id,
  name: evidenceSections[id],
  href: hrefOf('evidence', id),
}));

let lastPeriod: PeriodDays | null = null;

/** What an auditor asks, section by section; at the foot the hash that pins the ledger. */
export function EvidencePlace({ info, section }: Props) {
  const here = sections.find((each) => each.id === section)?.id ?? 'register';
  const [period, setPeriod] = useState<PeriodDays>(() => lastPeriod ?? firstPeriod(info.today));
  const change = (next: PeriodDays): void => {
    lastPeriod = next;
    setPeriod(next);
  };
  const periodMatters = here !== 'people' && here !== 'verify';
  return (
    <div className="sheet-scroll">
      <article className="sheet sheet-plain evidence">
        <div className="place-head">
          <h1>Evidence</h1>
          {periodMatters && <Period period={period} onPeriod={change} />}
          <span className="place-acts">
            <button type="button" className="word" onClick={() => void saveBag(period)}>
              bag of the period
            </button>{' '}
            ·{' '}
            <button type="button" className="word" onClick={() => host.print()}>
              print
            </button>
          </span>
        </div>
        <SectionNav label="Parts of the evidence" sections={sections} here={here} />
        <div className="evidence-body">
          {here === 'register' && <Register period={period} readOnly={info.readOnly} />}
          {here === 'calibration' && <Calibration period={period} readOnly={info.readOnly} />}
          {here === 'records' && <Completeness period={period} />}
          {here === 'ledger' && <Ledger period={period} />}
          {here === 'people' && <People readOnly={info.readOnly} />}
          {here === 'sample' && <Sample period={period} />}
          {here === 'verify' && <Verify />}
        </div>
        <p className="caption ledger-foot">
          {info.ledgerHead === null
            ? 'The ledger is empty.'
            : `Ledger head, line ${info.revision}: ${hashWords(info.ledgerHead)}`}
        </p>
      </article>
    </div>
  );
}

const saveBag = (period: PeriodDays): Promise<void> =>
  save(
    `evidence-${period.from}-to-${period.to}`,
    'folder',
    (out) => ask('evidence.bag', { ...period, out }),
    bagWritten,
  );
