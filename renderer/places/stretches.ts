import { useQueries } from '@tanstack/react-query';
import { useCallback, useRef, useState } from 'react';
import type { AskName, InputOf, OutputOf } from '../../core/contract/asks/index.ts';
import { asking, useAsk } from './asking.ts';

/** Rows read at once: as few as one screen shows twice, for each is asked while a person waits. */
export const stretch = 50;

interface Options<N extends AskName, Row> {
  readonly name: N;
  /** The input that asks for the rows from `from` on. */
  readonly input: (from: number) => InputOf<N>;
  readonly rows: (answer: OutputOf<N>) => readonly Row[];
  readonly total: (answer: OutputOf<N>) => number;
}

/** Rows of one list, by their stretch. */
interface Known<Row> {
  readonly total: number;
  readonly rows: ReadonlyMap<number, readonly Row[]>;
}

/**
 * A long answer by stretches of rows: those in sight are asked for, those seen are kept. Rows of a former order or
 * filter stay until all that is in sight of the new one is read, and then change at once.
 */
export function useStretches<N extends AskName, Row>({ name, input, rows, total }: Options<N, Row>) {
  const [sight, setSight] = useState({ from: 0, to: 0 });
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
  const rowAt = (index: number): Row | undefined => known.rows.get(Math.floor(index / stretch))?.[index % stretch];
  const onSight = useCallback(
    (from: number, to: number) =>
      setSight((now) =>
        Math.floor(now.from / stretch) === Math.floor(from / stretch) &&
        Math.floor(now.to / stretch) === Math.floor(to / stretch)
          ? now
          : { from, to },
      ),
    [],
  );
  return { first, total: known.total, rowAt, onSight };
}
