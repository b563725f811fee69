import type { SegmentLife } from '../evidence/compliance.ts';
import type { LifeRow } from '../store/compliance.ts';

const yesNo = (value: number | null) => (value === null ? null : value === 1);

/** A segment as rules on retests see it. */
export const lifeOf = (row: LifeRow): SegmentLife => ({
  ...row,
  criticalLoad: yesNo(row.criticalLoad),
  alternateSupply: yesNo(row.alternateSupply),
});

/** The last day on which a test is counted; '' for all on record. */
export const untilDay = (upTo: string): string => (upTo === '' ? '9999-12-31' : upTo);
