import { SectionNav } from '../../parts/SectionNav.tsx';
import { hrefOf } from '../route.ts';
import { Findings } from './Findings.tsx';
import { TakeIn } from './TakeIn.tsx';
import './import.css';

const sections = [
  { id: 'files', name: 'Take files in', href: hrefOf('import') },
  { id: 'findings', name: 'What looks wrong', href: hrefOf('import', 'findings') },
] as const;

/** Data in, and what looks wrong in the data that is in. */
export function ImportPlace({ section, readOnly }: { readonly section: string | null; readonly readOnly: boolean }) {
  const here = section === 'findings' ? 'findings' : 'files';
  return (
    <div className="sheet-scroll">
      <article className="sheet sheet-plain">
        <div className="place-head">
          <h1>Import</h1>
        </div>
        <SectionNav label="Parts of the import" sections={sections} here={here} />
        {here === 'findings' ? <Findings readOnly={readOnly} /> : <TakeIn readOnly={readOnly} />}
      </article>
    </div>
  );
}
