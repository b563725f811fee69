/** Does something once the next frame has been handed to the compositor; gives how to call it off. */
export function afterFrame(act: () => void): () => void {
  const channel = new MessageChannel();
  channel.port1.onmessage = act;
  // A message that is posted within a frame is delivered when the frame is done.
  const frame = requestAnimationFrame(() => channel.port2.postMessage(null));
  return () => {
    cancelAnimationFrame(frame);
    channel.port1.close();
  };
}
