import type {Clock} from '../../shared/clock.js';

/** A monotonic clock on which seconds go by `speed` times as fast as real ones. */
export const spedClock = (speed: number): Clock => {
  const now = (): number => performance.now() * speed;
  return {
    now,
    until: (ms, signal) =>
      new Promise((resolve, reject) => {
        if (signal?.aborted) return reject(signal.reason);
        let timer: NodeJS.Timeout;
        const stop = (): void => {
          clearTimeout(timer);
          reject(signal?.reason);
        };
        const wait = (): void => {
          const left = (ms - now()) / speed;
          if (left <= 0) {
            signal?.removeEventListener('abort', stop);
            resolve();
            return;
          }
          // A timer may come a little early and has a longest wait; what is left is waited for again.
          timer = setTimeout(wait, Math.min(left, 1e9));
        };
        signal?.addEventListener('abort', stop, {once: true});
        wait();
      }),
  };
};
