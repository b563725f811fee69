import { z } from 'zod';
import { SegmentId } from '../ids.ts';
import { Interval90 } from './known.ts';
import { Insulation } from './trade.ts';

/** Why a segment moved in the ranking: what did most to its growth. */
export const moveReasons = ['test', 'work', 'correction', 'reread', 'clock', 'fleet', 'others', 'new', 'gone'] as const;

/** A segment whose place in the ranking changed between two days. */
export const RankMove = z.object({
  id: SegmentId,
  ownerId: z.string(),
  name: z.string(),
  feeder: z.string(),
  substation: z.string(),
  insulation: Insulation,
  /** null where it had, or has, none. */
  rankThen: z.number().int().nullable(),
  rank: z.number().int().nullable(),
  growthThen: Interval90.nullable(),
  growthPctPerYr: Interval90.nullable(),
  reason: z.enum(moveReasons),
  /** What moved it, in sentences: the weightiest first. */
  because: z.array(z.string()),
  /**
   * % points a year, adding up to the change: corrections entered since; its own tests and work, with all that the fleet
   * shares held as it was; the clock alone; and the rest, which is what the fleet's estimates moved.
   */
  parts: z.object({ correction: z.number(), own: z.number(), clock: z.number(), fleet: z.number() }).nullable(),
});
export type RankMove = z.infer<typeof RankMove>;
