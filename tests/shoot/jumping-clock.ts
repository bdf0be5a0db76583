import type {Clock} from '../../shared/clock.js';

/** A clock for tests: time stands still until everybody waits, then it jumps to the next moment that is waited for. */
export const jumpingClock = (startMs = 1000): Clock & {jump(ms: number): void} => {
  let nowMs = startMs;
  let waits: {at: number; resolve(): void}[] = [];
  let scheduled = false;

  const next = (): void => {
    scheduled = false;
    const first = Math.min(...waits.map(({at}) => at));
    if (!Number.isFinite(first)) return;
    nowMs = Math.max(nowMs, first);
    const due = waits.filter(({at}) => at <= nowMs);
    waits = waits.filter(({at}) => at > nowMs);
    for (const {resolve} of due) resolve();
    plan();
  };
  const plan = (): void => {
    if (scheduled || waits.length === 0) return;
    scheduled = true;
    setTimeout(next, 1);
  };

  return {
    now: () => nowMs,
    jump: ms => {
      nowMs += ms;
    },
    until: (at, signal) =>
      new Promise((resolve, reject) => {
        if (signal?.aborted) return reject(signal.reason);
        if (at <= nowMs) return resolve();
        const stop = (): void => {
          waits = waits.filter(wait => wait !== entry);
          reject(signal!.reason);
        };
        const entry = {
          at,
          resolve: () => {
            signal?.removeEventListener('abort', stop);
            resolve();
          },
        };
        signal?.addEventListener('abort', stop, {once: true});
        waits.push(entry);
        plan();
      }),
  };
};
