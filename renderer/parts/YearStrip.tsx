import { Fragment, memo, useState } from 'react';
import type { YearStrip as Strip } from '../../core/contract/shapes/strip.ts';
import { stripLegend, stripWords, yearWords } from '../words/strip.ts';
import { levelInks } from './Inks.tsx';
import { notchRoom, stripPaths } from './stripPaths.ts';
import { useWidth } from './useWidth.ts';
import './strip.css';

interface Ink {
  readonly strip: Strip;
  readonly width: number;
  readonly gap: number;
  readonly height: number;
}

function Cells({ strip, width, gap, height }: Ink) {
  const paths = stripPaths(strip, { width, gap, height });
  return (
    <>
      {paths.unknown && <path d={paths.unknown} className="strip-unknown" />}
      {levelInks.map((level) => (
        <Fragment key={level}>
          {paths.thin[level] && <path d={paths.thin[level]} className={`level-${level}`} />}
          {paths.solid[level] && <path d={paths.solid[level]} className={`strip-solid level-${level}`} />}
          {paths.hatched[level] && <path d={paths.hatched[level]} className={`strip-hatched hatch-${level}`} />}
        </Fragment>
      ))}
      {paths.notches && <path d={paths.notches} className="strip-notch" />}
      {paths.crosses && <path d={paths.crosses} className="strip-cross" />}
      {paths.crossesOnInk && <path d={paths.crossesOnInk} className="strip-cross on-ink" />}
    </>
  );
}

interface RowStripProps {
  readonly strip: Strip;
  readonly cell?: number;
  readonly gap?: number;
  readonly height?: number;
  /** Hidden from screen readers where the row says it in other words. */
  readonly silent?: boolean;
}

/** The year strip in a row of the tree or of a table. */
export const RowStrip = memo(function RowStrip({
  strip,
  cell = 5,
  gap = 2,
  height = 11,
  silent = false,
}: RowStripProps) {
  const width = (strip.to - strip.from + 1) * (cell + gap) - gap;
  const cells = <Cells strip={strip} width={cell} gap={gap} height={height} />;
  const size = { className: 'row-strip', width, height: height + notchRoom * 2 };
  return silent ? (
    <svg {...size} aria-hidden="true">
      {cells}
    </svg>
  ) : (
    <svg {...size} role="img" aria-label={stripWords(strip)}>
      {cells}
    </svg>
  );
});

/** The year strip across a page, with years below and a line that says the year under the pointer. */
export function PageStrip({ strip }: { readonly strip: Strip }) {
  const [host, across] = useWidth<HTMLDivElement>(740, 'page');
  const [pointed, setPointed] = useState<number | null>(null);
  const years = strip.to - strip.from + 1;
  const pitch = Math.min(15, across / years);
  const gap = pitch > 8 ? 2 : 1;
  const height = 17;
  const step = pitch * 5 > 34 ? 5 : 10;
  const labels: number[] = [];
  for (let year = Math.ceil(strip.from / step) * step; year <= strip.to; year += step) labels.push(year);
  const total = Math.round(years * pitch);
  return (
    <div className="page-strip" ref={host}>
      <svg
        width={total}
        height={height + 21}
        role="img"
        aria-label={stripWords(strip)}
        onPointerMove={(event) => {
          const x = event.clientX - event.currentTarget.getBoundingClientRect().left;
          setPointed(Math.max(strip.from, Math.min(strip.to, strip.from + Math.floor(x / pitch))));
        }}
        onPointerLeave={() => setPointed(null)}
      >
        <Cells strip={strip} width={pitch - gap} gap={gap} height={height} />
        {labels.map((year) => {
          const x = (year - strip.from) * pitch;
          return x > total - 26 ? null : (
            <text key={year} x={x} y={height + 17} className="strip-year">
              {year}
            </text>
          );
        })}
      </svg>
      <p className="strip-says caption" aria-hidden="true">
        {pointed === null ? stripLegend : yearWords(strip, pointed)}
      </p>
    </div>
  );
}
