import type { Figure } from '../../core/contract/figure.ts';
import { fetchCharts } from './fetchCharts.ts';

/** One of everything that a figure can hold. */
const everything: Figure = {
  title: '',
  xLabel: '',
  yLabel: '',
  xKind: 'year',
  yScale: 'log',
  points: (['A', 'B', 'C'] as const).map((phase) => ({ name: phase, phase, faint: phase === 'B', at: [[2001, 2]] })),
  lines: [
    {
      name: '',
      at: [
        [2000, 1],
        [2010, 4],
      ],
    },
  ],
  bands: [
    {
      name: '',
      sharePct: 90,
      at: [
        [2000, 1, 2],
        [2010, 3, 5],
      ],
    },
  ],
  levels: [{ name: 'limit', y: 3 }],
  marks: [{ name: 'mark', x: 2005 }],
};

/** Draws a figure that nobody sees, so that the first one that is seen takes no longer than the others. */
export async function rehearse(): Promise<void> {
  const { draw } = await fetchCharts();
  const drawn = draw(document.createElement('div'), everything, undefined, { width: 700, height: 272 });
  drawn.show(everything);
  drawn.dispose();
}
