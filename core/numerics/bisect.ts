export type Root = { readonly known: true; readonly at: number } | { readonly known: false; readonly because: string };

/**
 * Where a continuous function passes zero between low and high, by halving.
 * Ends when the bracket is narrower than the tolerance, or as narrow as doubles allow; at most 200 halvings.
 * Unknown when the function has the same sign at both ends, or is not a number there.
 */
export function bisect(f: (x: number) => number, low: number, high: number, tolerance = 0): Root {
  const atLow = f(low);
  const atHigh = f(high);
  if (atLow === 0) return { known: true, at: low };
  if (atHigh === 0) return { known: true, at: high };
  if (!(atLow * atHigh < 0 || (Math.sign(atLow) === -Math.sign(atHigh) && atLow !== 0))) {
    return { known: false, because: 'the function does not change sign between the two ends' };
  }
  let a = low;
  let b = high;
  for (let step = 0; step < 200; step++) {
    const middle = a + 0.5 * (b - a);
    if (middle === a || middle === b || Math.abs(b - a) <= tolerance) break;
    const value = f(middle);
    if (value === 0) return { known: true, at: middle };
    if (value < 0 === atLow < 0) a = middle;
    else b = middle;
  }
  return { known: true, at: a + 0.5 * (b - a) };
}
