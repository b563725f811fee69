import type { z } from 'zod';
import { evidenceAsks } from './evidence.ts';
import { findingsAsks } from './findings.ts';
import { fleetAsks } from './fleet.ts';
import { methodAsks } from './method.ts';
import { planAsks } from './plan.ts';
import { policyAsks } from './policy.ts';
import { rankingAsks } from './ranking.ts';
import { recordsAsks } from './records.ts';
import { retestAsks } from './retest.ts';
import { segmentAsks } from './segment.ts';

/** Everything that can be asked of core. Hosts carry it, the command line and the docs follow from it. */
export const asks = {
  ...fleetAsks,
  ...segmentAsks,
  ...rankingAsks,
  ...findingsAsks,
  ...methodAsks,
  ...recordsAsks,
  ...planAsks,
  ...retestAsks,
  ...evidenceAsks,
  ...policyAsks,
} as const;

export type Asks = typeof asks;
export type AskName = keyof Asks;
export type InputOf<N extends AskName> = z.input<Asks[N]['input']>;
export type ParsedInputOf<N extends AskName> = z.output<Asks[N]['input']>;
export type OutputOf<N extends AskName> = z.output<Asks[N]['output']>;
