import { z } from 'zod';
import { Outcome } from './trade.ts';

const number = z.number().nullable();

/** What one tester's file says, as machines take it: null for unknown. The keys are fixed; others read them. */
export const TraceRow = z.object({
  file: z.string().meta({ path: 'in' }),
  ok: z.boolean(),
  /** Why the file was refused; null where it was read. */
  reason: z.string().nullable(),
  outcome: Outcome.nullable(),
  voltage_kv: number,
  ramp_kv_per_s: number,
  dwell_s: number,
  leakage_ua: number,
  leakage_spread_ua: number,
  resistance_mohm: number,
  one_minute_ua: number,
  absorption_ratio: number,
  absorption_n: number,
  steady_ua: number,
  capacitance_nf: number,
  steps: z.array(z.object({ voltage_kv: z.number(), leakage_ua: z.number() })),
  breakdown_at_s: number,
  breakdown_kv: number,
});
export type TraceRow = z.infer<typeof TraceRow>;
