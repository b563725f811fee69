const two = (n: number) => String(n).padStart(2, '0');

/** The calendar day of a moment where this computer is, ISO 8601. */
export const dayHere = (at: Date): string =>
  `${String(at.getFullYear()).padStart(4, '0')}-${two(at.getMonth() + 1)}-${two(at.getDate())}`;
