import { type ComponentType, lazy, useState } from 'react';

/** A place whose script is not needed for the first paint. */
export interface Later<P> {
  readonly fetch: () => Promise<ComponentType<P>>;
  /** The place itself where its script is here, else what waits for it. */
  readonly now: () => ComponentType<P>;
}

export function later<P extends object>(load: () => Promise<ComponentType<P>>): Later<P> {
  let here: ComponentType<P> | undefined;
  const fetch = async (): Promise<ComponentType<P>> => {
    here ??= await load();
    return here;
  };
  const waited = lazy(async () => ({ default: await fetch() })) as unknown as ComponentType<P>;
  return { fetch, now: () => here ?? waited };
}

interface Props<P> {
  readonly place: Later<P>;
  readonly given: P;
}

/**
 * Shows a place. Fetched ahead, it stands at once: a place that is waited for is shown by React only 300 ms after its
 * placeholder, however soon it comes. Which of the two is settled once, so that the place is not begun anew.
 */
export function Shown<P extends object>({ place, given }: Props<P>) {
  const [Place] = useState(place.now);
  return <Place {...given} />;
}
