import { useSyncExternalStore } from 'react';
import { hold, hush, toasts } from './toast.ts';
import './toast.css';

/** The passing word at the foot of the window. */
export function UndoToast() {
  const toast = useSyncExternalStore(toasts.subscribe, toasts.now);
  return (
    <div
      className="toast-place"
      role="status"
      aria-live="polite"
      onPointerEnter={() => hold(true)}
      onPointerLeave={() => hold(false)}
      onFocus={() => hold(true)}
      onBlur={() => hold(false)}
    >
      {toast && (
        <div className="toast" key={toast.key}>
          <span>{toast.words}</span>
          {toast.undo && (
            <button
              type="button"
              className="word"
              onClick={() => {
                toast.undo?.();
                hush();
              }}
            >
              Undo
            </button>
          )}
          <button type="button" className="word" onClick={hush}>
            Close
          </button>
        </div>
      )}
    </div>
  );
}
