import { useQueries } from '@tanstack/react-query';
import { useCallback, useState } from 'react';
import type { AskName, InputOf, OutputOf } from '../../core/contract/asks/index.ts';
import { asking, useAsk } from './asking.ts';

/** Rows read at once. */
export const stretch = 100;

interface Options<N extends AskName, Row> {
  readonly name: N;
  /** The input that asks for the rows from `from` on. */
  readonly input: (from: number) => InputOf<N>;
  readonly rows: (answer: OutputOf<N>) => readonly Row[];
  readonly total: (answer: OutputOf<N>) => number;
}

/** A long answer by stretches of a hundred rows: those in sight are asked for, those seen are kept. */
export function useStretches<N extends AskName, Row>({ name, input, rows, total }: Options<N, Row>) {
  const [sight, setSight] = useState({ from: 0, to: 0 });
  const first = useAsk(name, input(0), { keep: true });
  const count = first.data === undefined ? 0 : total(first.data);
  const wanted: number[] = [];
  for (let at = Math.max(1, Math.floor(sight.from / stretch)); at * stretch <= Math.min(sight.to, count - 1); at++)
    wanted.push(at);
  const more = useQueries({ queries: wanted.map((at) => asking(name, input(at * stretch))) });
  const known = new Map<number, readonly Row[]>();
  if (first.data !== undefined) known.set(0, rows(first.data));
  wanted.forEach((at, index) => {
    const answer = more[index]?.data as OutputOf<N> | undefined;
    if (answer !== undefined) known.set(at, rows(answer));
  });
  const rowAt = (index: number): Row | undefined => known.get(Math.floor(index / stretch))?.[index % stretch];
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
  return { first, total: count, rowAt, onSight };
}
