import { useState } from 'react';
import type { Figure as FigureData } from '../../core/contract/figure.ts';
import { host } from '../client/index.ts';
import { figureWords, pointWords, underFigureWords } from '../words/figure.ts';
import type { Nearest } from './draw.ts';
import { FigureTable } from './FigureTable.tsx';
import { figureCsv } from './figureCsv.ts';
import type { Scaled } from './scale.ts';
import { useDrawn } from './useDrawn.ts';
import './figure.css';

interface Props {
  readonly figure: FigureData;
  /** Name for exported files, without an ending. */
  readonly fileName: string;
  readonly height?: number;
  /** Axes of another making, where two charts share them. */
  readonly scaled?: Scaled;
}

/** A chart with its table twin and its exports. The line below says the reading under the pointer. */
export function Figure({ figure, fileName, height = 300, scaled }: Props) {
  const [asTable, setAsTable] = useState(false);
  const [pointed, setPointed] = useState<Nearest | null>(null);
  const { place, drawn } = useDrawn({ figure, scaled, height }, !asTable);
  const keep = (ending: string, mediaType: string, encoding: 'utf8' | 'base64', content: string): void =>
    void host.keepFile({ name: `${fileName}.${ending}`, mediaType, encoding, content });
  const point = pointed ? pointWords(figure, pointed.series, pointed.index) : null;
  return (
    <figure className="figure">
      <figcaption className="figure-head caption">
        <span>{figureWords(figure)}</span>
        <span className="figure-tools">
          <button type="button" className="word" aria-pressed={asTable} onClick={() => setAsTable(!asTable)}>
            {asTable ? 'chart' : 'table'}
          </button>
          {!asTable && (
            <>
              {' · '}
              <button
                type="button"
                className="word"
                onClick={() => drawn.current && keep('svg', 'image/svg+xml', 'utf8', drawn.current.svg())}
              >
                SVG
              </button>
              {' · '}
              <button
                type="button"
                className="word"
                onClick={() => drawn.current && keep('png', 'image/png', 'base64', drawn.current.png())}
              >
                PNG
              </button>
            </>
          )}
          {' · '}
          <button type="button" className="word" onClick={() => keep('csv', 'text/csv', 'utf8', figureCsv(figure))}>
            CSV
          </button>
        </span>
      </figcaption>
      {asTable ? (
        <FigureTable figure={figure} />
      ) : (
        <>
          <div
            ref={place}
            className="figure-place"
            role="img"
            aria-label={`${figureWords(figure)} The button “table” shows the same numbers as a table.`}
            style={{ height }}
            onPointerMove={(event) => {
              const box = event.currentTarget.getBoundingClientRect();
              setPointed(drawn.current?.nearest(event.clientX - box.left, event.clientY - box.top) ?? null);
            }}
            onPointerLeave={() => setPointed(null)}
          />
          <p className="figure-says caption" aria-hidden="true">
            {point ?? underFigureWords(figure)}
          </p>
        </>
      )}
    </figure>
  );
}
