import { useEffect, useLayoutEffect, useState } from 'react';
import { host } from '../../client/index.ts';
import { go } from '../route.ts';
import { leave } from './dropped.ts';

/** Files dropped anywhere on the window go to the place Import. True while they hover. */
export function useDrops(accepts: boolean): boolean {
  const [over, setOver] = useState(false);
  useLayoutEffect(() => {
    const carriesFiles = (event: DragEvent) => event.dataTransfer?.types.includes('Files') ?? false;
    const onOver = (event: DragEvent) => {
      if (!carriesFiles(event)) return;
      event.preventDefault();
      if (accepts) setOver(true);
      else if (event.dataTransfer) event.dataTransfer.dropEffect = 'none';
    };
    const onLeave = (event: DragEvent) => {
      if (event.relatedTarget === null) setOver(false);
    };
    const onDrop = (event: DragEvent) => {
      if (!carriesFiles(event)) return;
      event.preventDefault();
      setOver(false);
      if (!accepts || !event.dataTransfer) return;
      leave(host.dropped(event.dataTransfer));
      go('import');
    };
    addEventListener('dragover', onOver);
    addEventListener('dragleave', onLeave);
    addEventListener('drop', onDrop);
    return () => {
      removeEventListener('dragover', onOver);
      removeEventListener('dragleave', onLeave);
      removeEventListener('drop', onDrop);
    };
  }, [accepts]);
  useEffect(
    () =>
      host.onOpened((paths) => {
        if (!accepts) return;
        leave(Promise.resolve(paths));
        go('import');
      }),
    [accepts],
  );
  return over;
}
