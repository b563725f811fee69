import './inks.css';

export const levelInks = [0, 1, 2, 3, 4, 5] as const;

/** Hatching of the forecast years, drawn once for every strip of the page. */
export function Inks() {
  return (
    <svg className="ink-defs" aria-hidden="true" focusable="false">
      <defs>
        {levelInks.map((level) => (
          <pattern
            key={level}
            id={`hatch-${level}`}
            width="4"
            height="4"
            patternUnits="userSpaceOnUse"
            patternTransform="rotate(45)"
          >
            <rect width="2.1" height="4" fill={`var(--level-${level})`} />
          </pattern>
        ))}
      </defs>
    </svg>
  );
}
