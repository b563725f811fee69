import { useQueries } from '@tanstack/react-query';
import { useCallback, useEffect, useRef, useState } from 'react';
import type { AskName, InputOf, OutputOf } from '../../core/contract/asks/index.ts';
import { asking, queries, useAsk } from './asking.ts';

/** Rows read at once: as few as one screen shows twice, for each is asked while a person waits. */
export const stretch = 50;

interface Options<N extends AskName, Row> {
  readonly name: N;
  /** The input that asks for the rows from `from` on. */
  readonly input: (from: number) => InputOf<N>;
  readonly rows: (answer: OutputOf<N>) => readonly Row[];
  readonly total: (answer: OutputOf<N>) => number;
}

interface Sight {
  readonly from: number;
  readonly to: number;
  /** The row that stretches are counted from, in both directions. */
  readonly base: number;
  /** The first row of the stretch that someone who walks on comes to, read ahead; null where they jumped. */
  readonly next: number | null;
}

/** Rows that are known of one list, the first of each stretch before them. */
interface Known<Row> {
  readonly total: number;
  readonly stretches: readonly (readonly [number, readonly Row[]])[];
}

const areSame = <Row>(known: Known<Row>, total: number, stretches: Known<Row>['stretches']): boolean =>
  known.total === total &&
  known.stretches.length === stretches.length &&
  stretches.every(([at, rows], k) => at === known.stretches[k]![0] && rows === known.stretches[k]![1]);

const nothing: Known<never> = { total: 0, stretches: [] };

/** Of rows that are counted by tens a jump needs fewer stretches than of those counted by stretches from the first. */
const baseStep = 10;

function sightAfter(before: Sight, from: number, to: number): Sight {
  if (Math.abs(from - before.from) > 2 * stretch)
    return { from, to, base: Math.floor(from / baseStep) * baseStep, next: null };
  const { base } = before;
  const at = (index: number) => base + Math.floor((index - base) / stretch) * stretch;
  if (at(before.from) === at(from) && at(before.to) === at(to)) return before;
  const next = from < before.from ? at(from) - stretch : at(to) + stretch;
  return { from, to, base, next: next < 1 ? null : next };
}

/** The first rows of the stretches that hold what is in sight; those of the first stretch are always known. */
function wantedBy({ from, to, base }: Sight, count: number): number[] {
  const wanted: number[] = [];
  const last = Math.min(to, count - 1);
  for (let at = base + Math.floor((from - base) / stretch) * stretch; at <= last; at += stretch)
    if (at > 0) wanted.push(at);
  return wanted;
}

/**
 * A long answer by stretches of rows: those in sight are asked for, those seen are kept. Rows of a former order or
 * filter stay until all that is in sight of the new one is read, and then change at once.
 */
export function useStretches<N extends AskName, Row>({ name, input, rows, total }: Options<N, Row>) {
  const [sight, setSight] = useState<Sight>({ from: 0, to: 0, base: 0, next: stretch });
  const first = useAsk(name, input(0), { keep: true });
  const count = first.data === undefined ? 0 : total(first.data);
  const wanted = wantedBy(sight, count);
  const more = useQueries({ queries: wanted.map((at) => asking(name, input(at))) });
  const shown = useRef<Known<Row>>(nothing);
  if (first.data === undefined) shown.current = nothing;
  else if (shown.current.total === 0 || (!first.isPlaceholderData && more.every((each) => !each.isPending))) {
    const known: [number, readonly Row[]][] = [[0, rows(first.data)]];
    wanted.forEach((at, index) => {
      const answer = more[index]?.data as OutputOf<N> | undefined;
      if (answer !== undefined) known.push([at, rows(answer)]);
    });
    if (!areSame(shown.current, count, known)) shown.current = { total: count, stretches: known };
  }
  const known = shown.current;
  const next = sight.next === null || sight.next >= count ? null : sight.next;
  useEffect(() => {
    if (next === null) return;
    const idle = requestIdleCallback(() => void queries.prefetchQuery(asking(name, input(next))));
    return () => cancelIdleCallback(idle);
  });
  const rowAt = useCallback(
    (index: number): Row | undefined => {
      for (const [at, has] of known.stretches) if (index >= at && index < at + has.length) return has[index - at];
      return undefined;
    },
    [known],
  );
  const onSight = useCallback((from: number, to: number) => setSight((now) => sightAfter(now, from, to)), []);
  return { first, total: known.total, rowAt, onSight };
}
