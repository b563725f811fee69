import { type UseQueryResult, useQuery } from '@tanstack/react-query';
import { useEffect } from 'react';
import { type HostState, host } from '../client/index.ts';
import { queries } from './asking.ts';
import { rememberPlan } from './plan/lastPlan.ts';

const key = ['host.state'] as const;

/** Which fleet is open, followed as it changes. */
export function useHostState(): UseQueryResult<HostState> {
  useEffect(() => host.onFleet((state) => took(state)), []);
  return useQuery({ queryKey: key, queryFn: host.state });
}

/** Another fleet is open, or the same one in another way: nothing of the former may stay on the page. */
export function took(state: HostState | null): void {
  if (state === null) return;
  const before = queries.getQueryData<HostState>(key);
  if (before?.fleet?.file !== state.fleet?.file || before?.fleet?.readOnly !== state.fleet?.readOnly) {
    rememberPlan(null);
    queries.removeQueries({ predicate: (query) => query.queryKey[0] !== key[0] });
  }
  queries.setQueryData(key, state);
}
