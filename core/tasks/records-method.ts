import type { z } from 'zod';
import type { TestMethod } from '../contract/shapes/trade.ts';
import type { TraceReading } from '../trace/reading.ts';

/**
 * Up to here a single hold is taken for a test of insulation resistance: megohmmeters give up to 5 kV, some 10 kV, and
 * proof tests of 5 kV class cable begin above 5 kV. Common practice, no source; a person may say otherwise.
 */
const highestResistanceTestKv = 5.25;

/** How the cable was tested, from what the samples show. */
export const methodOf = (reading: TraceReading): z.infer<typeof TestMethod> =>
  reading.steps.length > 1
    ? 'dc_step'
    : reading.voltageKv <= highestResistanceTestKv
      ? 'insulation_resistance'
      : 'dc_withstand';
