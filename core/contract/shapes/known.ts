import { z } from 'zod';

/** A number or answer that may not be computable: then it says why, and is never 0. */
export const known = <S extends z.ZodRawShape>(shape: S) =>
  z.discriminatedUnion('known', [
    z.object({ known: z.literal(true), ...shape }),
    z.object({ known: z.literal(false), because: z.string() }),
  ]);

/** An estimate with the ends of its 90 % interval. */
export const Interval90 = z.object({ value: z.number(), lo: z.number(), hi: z.number() });
export type Interval90 = z.infer<typeof Interval90>;

/** A file made by core, carried as text or base64. */
export const MadeFile = z.object({
  name: z.string(),
  mediaType: z.string(),
  encoding: z.enum(['utf8', 'base64']),
  content: z.string(),
});
export type MadeFile = z.infer<typeof MadeFile>;
