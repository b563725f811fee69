import { z } from 'zod';

/**
 * The year strip: one cell a calendar year, `from` … `to`. `levels[i]` is the level of year `from + i` against the
 * limit on six steps (0 under 10 %, 1 under 25 %, 2 under 50 %, 3 under 75 %, 4 under 100 %, 5 above), −1 where nothing
 * is known. Years after `now` are forecast.
 */
export const YearStrip = z.object({
  from: z.number().int(),
  now: z.number().int(),
  to: z.number().int(),
  levels: z.array(z.number().int()),
  tested: z.array(z.number().int()),
  notches: z.array(z.number().int()),
  crosses: z.array(z.number().int()),
});
export type YearStrip = z.infer<typeof YearStrip>;
