import type { ActionKind } from './actions.ts';
import type { PlanInputs } from './inputs.ts';

/** The wishes for one segment, joined. Years are indices of plan years. */
export interface SegmentWish {
  must: boolean;
  /** 1 where the year is open to the segment. */
  readonly open: Uint8Array;
  action: ActionKind | null;
  pinned: boolean;
}

/** Joins the wishes by segment ordinal. Several wishes for one segment narrow each other. */
export function readWishes(inputs: PlanInputs): Map<number, SegmentWish> {
  const joined = new Map<number, SegmentWish>();
  for (const wish of inputs.wishes) {
    let own = joined.get(wish.segment);
    if (!own) {
      own = { must: false, open: new Uint8Array(inputs.years).fill(1), action: null, pinned: false };
      joined.set(wish.segment, own);
    }
    if (wish.kind === 'pin') {
      own.pinned = true;
      own.must ||= wish.year !== null;
      if (wish.action) own.action = wish.action;
      for (let y = 0; y < inputs.years; y++) if (inputs.startYear + y !== wish.year) own.open[y] = 0;
      continue;
    }
    const from = (wish.fromYear ?? Number.NEGATIVE_INFINITY) - inputs.startYear;
    const to = (wish.toYear ?? Number.POSITIVE_INFINITY) - inputs.startYear;
    if (wish.kind === 'must') own.must = true;
    for (let y = 0; y < inputs.years; y++) {
      const within = y >= from && y <= to;
      if (wish.kind === 'must' ? !within : within) own.open[y] = 0;
    }
  }
  return joined;
}

/** Plan years open to a segment, in order. */
export function allowedYears(wish: SegmentWish | undefined, inputs: PlanInputs): number[] {
  const years: number[] = [];
  for (let y = 0; y < inputs.years; y++) if (!wish || wish.open[y]) years.push(y);
  return years;
}
