import type { Area } from './shapes.ts';

/** What a label must not cover: places with the room around them that they need, px. */
export interface Taken {
  readonly x: number;
  readonly y: number;
  readonly reach: number;
}

interface Label {
  readonly width: number;
  readonly height: number;
  /** The line that the label stands on or hangs from, px from the top. */
  readonly lineY: number;
}

export interface Place {
  readonly x: number;
  /** Top of the label. */
  readonly y: number;
}

/** How far apart the places along the line are that are looked at, px. */
const step = 16;
const gap = 3;

/**
 * Where a label of a level line covers least: along the line, above it or below it, within the plot. The first place
 * from the left wins where several are as free.
 */
export function freePlace(area: Area, label: Label, taken: readonly Taken[]): Place {
  const left = area.x + 4;
  const right = Math.max(left, area.x + area.width - label.width - 4);
  const above = label.lineY - gap - label.height;
  const below = label.lineY + gap;
  const heights = [above, below].filter((y) => y >= area.y && y + label.height <= area.y + area.height);
  let best: Place = { x: left, y: above };
  let least = Number.POSITIVE_INFINITY;
  for (const y of heights)
    for (let x = left; ; x = Math.min(right, x + step)) {
      const covers = covered({ x, y, width: label.width, height: label.height }, taken);
      if (covers < least) {
        least = covers;
        best = { x, y };
      }
      if (x >= right) break;
    }
  return best;
}

const covered = (box: Area, taken: readonly Taken[]): number =>
  taken.filter(
    ({ x, y, reach }) =>
      x > box.x - reach && x < box.x + box.width + reach && y > box.y - reach && y < box.y + box.height + reach,
  ).length;
