import { z } from 'zod';

/** A chart as data: what is drawn, in which units; the window and the reports draw it, each in its own way. */
const Point = z.tuple([z.number(), z.number()]);

export const Figure = z.object({
  title: z.string(),
  xLabel: z.string(),
  yLabel: z.string(),
  xKind: z.enum(['year', 'seconds', 'minutes', 'number']),
  yScale: z.enum(['log', 'linear']),
  points: z.array(
    z.object({ name: z.string(), phase: z.enum(['A', 'B', 'C']).nullable(), faint: z.boolean(), at: z.array(Point) }),
  ),
  lines: z.array(z.object({ name: z.string(), at: z.array(Point) })),
  bands: z.array(
    z.object({ name: z.string(), sharePct: z.number(), at: z.array(z.tuple([z.number(), z.number(), z.number()])) }),
  ),
  levels: z.array(z.object({ name: z.string(), y: z.number() })),
  marks: z.array(z.object({ name: z.string(), x: z.number() })),
});
export type Figure = z.infer<typeof Figure>;
