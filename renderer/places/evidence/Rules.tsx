import type { OutputOf } from '../../../core/contract/asks/index.ts';

/** The rules as they stood, in words, with their source. */
export function Rules({ versions }: { readonly versions: OutputOf<'policy.list'>['versions'] }) {
  return (
    <section aria-label="Rules" className="rules">
      <div className="section-head">
        <h2>The rule, as it stood</h2>
      </div>
      {versions.map((version) => (
        <p key={`${version.subject} ${version.version} ${version.inForceFrom}`}>
          {version.words}{' '}
          <span className="second">
            {version.set
              ? `Version ${version.version}, in force from ${version.inForceFrom}${version.by ? `, set by ${version.by}` : ''}.`
              : 'Our default, since the owner has set none.'}{' '}
            Source: {version.source}.
          </span>
        </p>
      ))}
    </section>
  );
}
