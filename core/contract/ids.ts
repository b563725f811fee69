import { z } from 'zod';

/** Keys of records in a fleet file: UUIDv7 text. Each kind has its own type, so a feeder is never taken for a segment. */
const key = z.uuid();

export const SubstationId = key.brand<'SubstationId', 'inout'>();
export type SubstationId = z.infer<typeof SubstationId>;
export const FeederId = key.brand<'FeederId', 'inout'>();
export type FeederId = z.infer<typeof FeederId>;
export const SegmentId = key.brand<'SegmentId', 'inout'>();
export type SegmentId = z.infer<typeof SegmentId>;
export const TestEventId = key.brand<'TestEventId', 'inout'>();
export type TestEventId = z.infer<typeof TestEventId>;
export const InstrumentId = key.brand<'InstrumentId', 'inout'>();
export type InstrumentId = z.infer<typeof InstrumentId>;
export const PlanId = key.brand<'PlanId', 'inout'>();
export type PlanId = z.infer<typeof PlanId>;
export const SourceFileId = key.brand<'SourceFileId', 'inout'>();
export type SourceFileId = z.infer<typeof SourceFileId>;

/** A calendar day, ISO 8601: 2026-03-09. */
export const Day = z.iso.date();
