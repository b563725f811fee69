export type Concordance =
  | {
      readonly known: true;
      /** 1 where the higher score always went first, ½ for a coin. */
      readonly share: number;
      /** Pairs that could be compared. */
      readonly pairs: number;
    }
  | { readonly known: false; readonly because: string };

/**
 * How often, when a spell ended in an event, its score was above that of another spell at risk at that age
 * (ties count half). Source: F. E. Harrell et al., JAMA 247 (1982) 2543, with late entry.
 * Cost: events × spells. Unknown with no pairs.
 */
export function concordance(
  score: ArrayLike<number>,
  entry: ArrayLike<number>,
  exit: ArrayLike<number>,
  event: ArrayLike<number>,
): Concordance {
  const spells = exit.length;
  let pairs = 0;
  let right = 0;
  for (let i = 0; i < spells; i++) {
    if (!(event[i]! > 0)) continue;
    const age = exit[i]!;
    for (let j = 0; j < spells; j++) {
      const outlived = exit[j]! > age || (exit[j] === age && !(event[j]! > 0));
      if (j === i || !outlived || !(entry[j]! < age)) continue;
      pairs++;
      if (score[i]! > score[j]!) right++;
      else if (score[i] === score[j]) right += 0.5;
    }
  }
  return pairs > 0 ? { known: true, share: right / pairs, pairs } : { known: false, because: 'no pair to compare' };
}
