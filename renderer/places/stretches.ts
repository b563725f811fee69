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
  /** The stretch that someone who walks on comes to, read ahead; null where they jumped. */
  readonly next: number | null;
}

/** Rows of one list, by their stretch. */
interface Known<Row> {
  readonly total: number;
  readonly rows: ReadonlyMap<number, readonly Row[]>;
}

function sightAfter(before: Sight, from: number, to: number): Sight {
  const at = (index: number) => Math.floor(index / stretch);
  if (at(before.from) === at(from) && at(before.to) === at(to)) return before;
  const jumped = Math.abs(from - before.from) > 2 * stretch;
  const next = from < before.from ? at(from) - 1 : at(to) + 1;
  return { from, to, next: jumped || next < 1 ? null : next };
}

/**
 * A long answer by stretches of rows: those in sight are asked for, those seen are kept. Rows of a former order or
 * filter stay until all that is in sight of the new one is read, and then change at once.
 */
export function useStretches<N extends AskName, Row>({ name, input, rows, total }: Options<N, Row>) {
  const [sight, setSight] = useState<Sight>({ from: 0, to: 0, next: 1 });
  const first = useAsk(name, input(0), { keep: true });
  const count = first.data === undefined ? 0 : total(first.data);
  const wanted: number[] = [];
  for (let at = Math.max(1, Math.floor(sight.from / stretch)); at * stretch <= Math.min(sight.to, count - 1); at++)
    wanted.push(at);
  const more = useQueries({ queries: wanted.map((at) => asking(name, input(at * stretch))) });
  const shown = useRef<Known<Row>>({ total: 0, rows: new Map() });
  if (first.data === undefined) shown.current = { total: 0, rows: new Map() };
  else if (shown.current.total === 0 || (!first.isPlaceholderData && more.every((each) => !each.isPending))) {
    const known = new Map([[0, rows(first.data)]]);
    wanted.forEach((at, index) => {
      const answer = more[index]?.data as OutputOf<N> | undefined;
      if (answer !== undefined) known.set(at, rows(answer));
    });
    shown.current = { total: count, rows: known };
  }
  const known = shown.current;
  const next = sight.next === null || sight.next * stretch >= count ? null : sight.next;
  useEffect(() => {
    if (next === null) return;
    const idle = requestIdleCallback(() => void queries.prefetchQuery(asking(name, input(next * stretch))));
    return () => cancelIdleCallback(idle);
  });
  const rowAt = (index: number): Row | undefined => known.rows.get(Math.floor(index / stretch))?.[index % stretch];
  const onSight = useCallback((from: number, to: number) => setSight((now) => sightAfter(now, from, to)), []);
  return { first, total: known.total, rowAt, onSight };
}
