import type { Bridge } from '../../core/contract/host.ts';
import type { Carrier } from './carrier.ts';

declare global {
  /** Set by the window's preload, absent in a browser. */
  var yearbook: Bridge | undefined;
}

/** Carries asks through the window's preload. */
export const bridgeCarrier = (bridge: Bridge): Carrier => ({
  kind: 'window',
  send: (name, input, id, onProgress) => bridge.ask(name, input, id, onProgress),
  cancel: (id) => bridge.cancel(id),
  onEvent: (listener) => bridge.onEvent(listener),
});
