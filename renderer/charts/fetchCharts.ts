type Charts = typeof import('./draw.ts');

let here: Charts | undefined;

/** The charts, once they and the fonts that their labels are measured in are here. */
export async function fetchCharts(): Promise<Charts> {
  if (!here) {
    const [charts] = await Promise.all([import('./draw.ts'), document.fonts.ready]);
    here = charts;
  }
  return here;
}

/** The same without waiting; undefined as long as they are not here. */
export const chartsHere = (): Charts | undefined => (document.fonts.status === 'loaded' ? here : undefined);
