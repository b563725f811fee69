import type { OutputOf } from '../../../core/contract/asks/index.ts';
import { setWords } from '../../words/evidence.ts';

/** The rules as they stood, in words, with their source. */
export function Rules({ versions }: { readonly versions: OutputOf<'policy.list'>['versions'] }) {
  return (
    <section aria-label="Rules" className="rules">
      <div className="section-head">
        <h2>The rule, as it stood</h2>
      </div>
      {versions.map((version) => (
        <p key={`${version.subject} ${version.version} ${version.edition}`}>
          {version.words}{' '}
          <span className="second">
            {setWords(version)} Source: {version.source}.
          </span>
        </p>
      ))}
    </section>
  );
}
