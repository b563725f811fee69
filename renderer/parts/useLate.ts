import { useEffect, useState } from 'react';

/** True once something has gone on for a moment, so that what is quickly over is not spoken of. */
export function useLate(on: boolean, afterMs = 250): boolean {
  const [late, setLate] = useState(false);
  useEffect(() => {
    if (!on) return setLate(false);
    const timer = setTimeout(() => setLate(true), afterMs);
    return () => clearTimeout(timer);
  }, [on, afterMs]);
  return on && late;
}
