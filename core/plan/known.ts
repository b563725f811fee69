/** A figure that is known, or the reason why it is not. Money, minutes and ratios are never NaN at the public surface. */
export type Known =
  | { readonly known: true; readonly amount: number }
  | { readonly known: false; readonly because: string };

/** Wraps a number that could be told. */
export const known = (amount: number): Known => ({ known: true, amount });

/** Says why a number could not be told. */
export const unknown = (because: string): Known => ({ known: false, because });
