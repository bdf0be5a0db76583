import type {Clock} from '../../shared/clock.js';

/** Node's own monotonic clock. */
export const steadyClock: Clock = {
  now: () => performance.now(),
  until: (ms, signal) =>
    new Promise((resolve, reject) => {
      let timer: NodeJS.Timeout | undefined;
      const stop = (): void => {
        clearTimeout(timer);
        reject(signal?.reason);
      };
      // A timer may come a little early: what is left is waited for again.
      const wait = (): void => {
        const left = ms - performance.now();
        if (left > 0) {
          timer = setTimeout(wait, Math.min(left, 1e9));
          return;
        }
        signal?.removeEventListener('abort', stop);
        resolve();
      };
      if (signal?.aborted) stop();
      else {
        signal?.addEventListener('abort', stop, {once: true});
        wait();
      }
    }),
};
