/** Beyond this many usual voltages, and under one in as many, the bend stays as it is there: a slip of the pen may lie so far. */
const mostLog = Math.log(4);

/**
 * How a bend of the leakage's rise with voltage shows at a voltage, given as ln of voltage ÷ the usual one: v − 1 − ln v.
 * With the power of v beside it, it holds both laws in use for direct voltage on cable insulation, a power of the field
 * and an exponential of it (from memory, unverified), and what lies between. It is flat at the usual voltage, so
 * that the power keeps its meaning there.
 */
export function voltageBend(logVoltage: number): number {
  const log = Math.max(-mostLog, Math.min(mostLog, logVoltage));
  return Math.expm1(log) - log;
}
