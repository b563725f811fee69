/**
 * Lives of segments, one a row: a segment whose section was replaced begins another. Ages are years since energising
 * or since that replacement; a repair of one spot does not make a segment new.
 */
export interface SegmentLives {
  readonly count: number;
  /** Age at which failure records begin for it; 0 where they go back to the beginning. */
  readonly entryAge: Float64Array;
  /** Age today, or at which it was retired or its section replaced. */
  readonly exitAge: Float64Array;
  /** Index into `families`. */
  readonly family: Uint8Array;
  readonly families: readonly string[];
  /** Length times the number of phases. */
  readonly conductorKm: Float64Array;
  /**
   * As the records begin for it; NaN where unknown. Not today's: a repair adds a splice, and counting it would make
   * the failure its own cause.
   */
  readonly splicesPerKm: Float64Array;
}

/** Failures, in any order. Leave out those that say nothing about the cable, such as dig-ins. */
export interface FailureRecords {
  readonly count: number;
  /** Ordinal of the life. */
  readonly life: Int32Array;
  /** Years. */
  readonly age: Float64Array;
}

/** What tests had said by an age. Sorted by life, then age. Never put in what was learned later. */
export interface TestKnowledge {
  readonly count: number;
  readonly life: Int32Array;
  /** Age from which this was known, years. */
  readonly age: Float64Array;
  /** Change of ln(specific leakage) per year; NaN where unknown. */
  readonly growthPerYear: Float64Array;
  /** ln(level ÷ limit); NaN where unknown. */
  readonly lnLevelToLimit: Float64Array;
}

/** The lives cut at failures and at every age at which more was known; one spell a row. */
export interface FailureSpells {
  readonly count: number;
  readonly life: Int32Array;
  readonly entryAge: Float64Array;
  readonly exitAge: Float64Array;
  /** 1 where the spell ends in a failure. */
  readonly failed: Uint8Array;
  /** As known when the spell began; NaN where unknown. */
  readonly growthPerYear: Float64Array;
  readonly lnLevelToLimit: Float64Array;
  readonly failures: number;
  /** Failures outside their life's records, and further failures of a life on one day: neither is counted. */
  readonly outside: number;
  readonly repeated: number;
}

/** Cuts lives into spells. Lives that do not end after they begin give none. Cost: n ln n. */
export function cutLives(lives: SegmentLives, failures: FailureRecords, knowledge: TestKnowledge): FailureSpells {
  const byLife = Int32Array.from({ length: failures.count }, (_, i) => i).sort(
    (a, b) => failures.life[a]! - failures.life[b]! || failures.age[a]! - failures.age[b]!,
  );
  const most = lives.count + failures.count + knowledge.count;
  const spells = {
    life: new Int32Array(most),
    entryAge: new Float64Array(most),
    exitAge: new Float64Array(most),
    failed: new Uint8Array(most),
    growthPerYear: new Float64Array(most),
    lnLevelToLimit: new Float64Array(most),
  };
  let count = 0;
  let counted = 0;
  let outside = 0;
  let repeated = 0;
  let f = 0;
  let k = 0;
  for (let life = 0; life < lives.count; life++) {
    const end = lives.exitAge[life]!;
    let at = lives.entryAge[life]!;
    let lastFailure = Number.NaN;
    let growth = Number.NaN;
    let level = Number.NaN;
    const close = (age: number, failed: 0 | 1): void => {
      spells.life[count] = life;
      spells.entryAge[count] = at;
      spells.exitAge[count] = age;
      spells.failed[count] = failed;
      spells.growthPerYear[count] = growth;
      spells.lnLevelToLimit[count] = level;
      at = age;
      count++;
    };
    for (;;) {
      const failureAge =
        f < failures.count && failures.life[byLife[f]!] === life ? failures.age[byLife[f]!]! : Infinity;
      const knownAge = k < knowledge.count && knowledge.life[k] === life ? knowledge.age[k]! : Infinity;
      if (failureAge === Infinity && knownAge === Infinity) break;
      // A test on the day of a failure counts as after it.
      if (failureAge <= knownAge) {
        f++;
        if (failureAge === lastFailure) repeated++;
        else if (failureAge > at && failureAge <= end) {
          close(failureAge, 1);
          counted++;
        } else outside++;
        lastFailure = failureAge;
      } else {
        if (knownAge > at && knownAge < end) close(knownAge, 0);
        if (knownAge < end) {
          growth = knowledge.growthPerYear[k]!;
          level = knowledge.lnLevelToLimit[k]!;
        }
        k++;
      }
    }
    if (end > at) close(end, 0);
  }
  return {
    count,
    life: spells.life.subarray(0, count),
    entryAge: spells.entryAge.subarray(0, count),
    exitAge: spells.exitAge.subarray(0, count),
    failed: spells.failed.subarray(0, count),
    growthPerYear: spells.growthPerYear.subarray(0, count),
    lnLevelToLimit: spells.lnLevelToLimit.subarray(0, count),
    failures: counted,
    outside,
    repeated,
  };
}
