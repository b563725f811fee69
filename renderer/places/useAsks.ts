import { QueryObserver, type QueryState } from '@tanstack/react-query';
import { useEffect, useReducer, useRef } from 'react';
import type { AskName, InputOf, OutputOf } from '../../core/contract/asks/index.ts';
import { asking, queries } from './asking.ts';

/** How an ask stands; undefined before it was first asked. */
export type Asked<N extends AskName> = QueryState<OutputOf<N>> | undefined;

/**
 * Answers to many inputs of one ask, each asked once and again after every change of the fleet. What came or went among
 * the inputs is all that costs anything: a tree with a hundred open branches moves as one with two.
 */
export function useAsks<N extends AskName>(name: N, inputs: readonly InputOf<N>[]): Asked<N>[] {
  const stops = useRef(new Map<string, () => void>());
  const [, show] = useReducer((times: number) => times + 1, 0);
  const words = inputs.map((input) => JSON.stringify(input));
  const joined = words.join('\n');
  // biome-ignore lint/correctness/useExhaustiveDependencies: the inputs are told apart by their words
  useEffect(() => {
    const wanted = new Set(words);
    for (const [word, stop] of stops.current)
      if (!wanted.has(word)) {
        stop();
        stops.current.delete(word);
      }
    words.forEach((word, at) => {
      if (stops.current.has(word)) return;
      const options = { ...asking(name, inputs[at]!), notifyOnChangeProps: ['data', 'error'] as ('data' | 'error')[] };
      stops.current.set(word, new QueryObserver(queries, options).subscribe(show));
    });
  }, [name, joined]);
  useEffect(() => {
    const held = stops.current;
    return () => {
      for (const stop of held.values()) stop();
      held.clear();
    };
  }, []);
  return inputs.map((input) => queries.getQueryState<OutputOf<N>>(asking(name, input).queryKey));
}
