import { z } from 'zod';
import { Insulation } from './trade.ts';

const year = z.number().int().min(1850).max(2200);
const only = z.literal(true);

/** What the tree is narrowed to. Each word that is given must hold; an empty filter is every segment in service. */
export const TreeFilter = z.strictObject({
  /** Part of a segment's name or owner's id, in any case. */
  text: z.string().max(200).optional(),
  insulation: z.array(Insulation).optional(),
  ratedKv: z.array(z.number()).optional(),
  /** Calendar years of energising, both included; where the year is unknown neither holds. */
  energisedFrom: year.optional(),
  energisedTo: year.optional(),
  /** true: at least one reading; false: never tested. */
  tested: z.boolean().optional(),
  /** A test is due by the rule in force and not done. */
  overdue: only.optional(),
  /** The 90 % interval of growth lies above no growth. */
  growing: only.optional(),
  /** The level stands above the limit, at its best estimate. */
  aboveLimit: only.optional(),
  /** Retired segments as well as those in service. */
  retired: only.optional(),
});
export type TreeFilter = z.infer<typeof TreeFilter>;
