/** What the owner's verdicts make of single readings; one entry a reading. */
export interface Decisions {
  /** Bits of `decided`. */
  readonly bits: Uint8Array;
  /** What each leakage is multiplied by before anything else: 1 for most. */
  readonly factor: Float64Array;
}

export const decided = {
  /** The reading is what it is: neither repaired nor given less weight, however far out. */
  valueStands: 1,
  /** It counts, though it looks like a repetition or lies before the energising. */
  counts: 2,
  /** It does not count. */
  leftOut: 4,
  /** It is the repetition of a test that counts already. */
  countedOnce: 8,
  /** Its temperatures are used as they were written. */
  temperatureStands: 16,
} as const;

export const openDecisions = (readings: number): Decisions => ({
  bits: new Uint8Array(readings),
  factor: new Float64Array(readings).fill(1),
});
