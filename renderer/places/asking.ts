import { keepPreviousData, notifyManager, QueryClient, type UseQueryResult, useQuery } from '@tanstack/react-query';
import type { AskName, InputOf, OutputOf } from '../../core/contract/asks/index.ts';
import { ask, onChanged, works } from '../client/index.ts';

/** Answers are kept until the fleet changes; the host is local, so nothing waits for a network. */
export const queries = new QueryClient({
  defaultOptions: {
    queries: { networkMode: 'always', retry: false, staleTime: Number.POSITIVE_INFINITY, refetchOnWindowFocus: false },
    mutations: { networkMode: 'always', retry: false },
  },
});

// An answer is drawn in the next frame; by a timer, as is usual, it may come to the one after.
notifyManager.setScheduler(queueMicrotask);

onChanged(() => {
  // What is read ahead while something is written may come from before it; whoever wants it then asks again.
  queries.removeQueries({ type: 'inactive', fetchStatus: 'fetching' });
  void queries.invalidateQueries();
});

// The tree shows growth once there is a ranking, and the ranking is made when something first asks for it.
let fits = 0;
works.subscribe(() => {
  const done = works.list().filter((work) => work.name === 'ranking.make' && work.state === 'done').length;
  if (done > fits) void queries.invalidateQueries({ queryKey: ['fleet.tree'] });
  fits = done;
});

// A read-only file keeps no ranking: whoever shows ranked answers first has had it made on the spot.
queries.getQueryCache().subscribe((event) => {
  if (event.type !== 'updated' || event.action.type !== 'success') return;
  const name = event.query.queryKey[0];
  if (name !== 'ranking.page' && name !== 'segment.page') return;
  void queries.invalidateQueries({
    queryKey: ['fleet.tree'],
    predicate: (query) => (query.state.data as OutputOf<'fleet.tree'> | undefined)?.ranked === false,
  });
});

/** The options of a query that asks core; its key is the ask and its input. */
export const asking = <N extends AskName>(name: N, input: InputOf<N>) => ({
  queryKey: [name, input] as const,
  queryFn: (): Promise<OutputOf<N>> => ask(name, input),
});

interface UseAskOptions {
  readonly enabled?: boolean;
  /** Shows the former answer while another input is asked. */
  readonly keep?: boolean;
}

/** An answer of core, asked once and again after every change of the fleet. */
export const useAsk = <N extends AskName>(
  name: N,
  input: InputOf<N>,
  { enabled = true, keep = false }: UseAskOptions = {},
): UseQueryResult<OutputOf<N>> =>
  useQuery({
    ...asking(name, input),
    enabled,
    ...(keep ? { placeholderData: keepPreviousData } : {}),
  }) as UseQueryResult<OutputOf<N>>;
