/** A quantity at three figures, two below one, as crews write it. */
export function measured(value: number): string {
  const size = Math.abs(value);
  if (size >= 99.95) return Math.round(value).toLocaleString('en');
  if (size >= 9.995) return value.toFixed(1);
  if (size >= 0.9995) return value.toFixed(2);
  return value === 0 ? '0' : value.toPrecision(2);
}

/** A quantity rounded to three figures, with no zeros that say nothing: a voltage of 12 kV, a limit of 0.5 nS/km. */
export const threeFigures = (value: number): string => String(Number(value.toPrecision(3)));
