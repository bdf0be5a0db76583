import type {StopSignals} from './exposing.js';
import {StopAsked, untilAborted, within} from './stopping.js';

/** What a job may use while it runs. */
export type Hands = {
  signals: StopSignals;
  /** Resolves at the next word to go on. */
  goneOn(): Promise<void>;
  /** Waits for work that the person may cut short by going on. */
  orGoneOn(work: Promise<unknown>): Promise<void>;
};

export type Job = (hands: Hands) => Promise<void>;

/** One job at a time: an attempt, a series, a plate, a wrap … Going on and stopping reach the one that runs. */
export type Workbench = {
  busy(): boolean;
  /** @returns false when something else runs */
  start(job: Job, ended: (error: unknown) => void): boolean;
  /** @returns whether anything was there to be stopped */
  stop(reason?: string): boolean;
  /** @returns whether a job was waiting for it */
  goOn(): boolean;
  /** Stops what runs and waits for it, but not for ever. */
  finish(reason: string): Promise<void>;
};

/** How long an exposure that is stopped, and the pull of its frame, may take when the shoot is closed. */
const PATIENCE_MS = 8000;
const LAST_PATIENCE_MS = 2000;

export const workbench = (): Workbench => {
  let current: {stop: AbortController; now: AbortController; done: Promise<void>} | null = null;
  let waiting: (() => void) | null = null;

  const goneOn = (): Promise<void> =>
    new Promise(resolve => {
      waiting = resolve;
    });

  const stop = (reason?: string): boolean => {
    if (!current) return false;
    (current.stop.signal.aborted ? current.now : current.stop).abort(new StopAsked(reason));
    return true;
  };

  return {
    busy: () => current !== null,
    start(job, ended) {
      if (current) return false;
      const mine = {stop: new AbortController(), now: new AbortController(), done: Promise.resolve()};
      current = mine;
      const {signal} = mine.stop;
      const hands: Hands = {
        signals: {stop: signal, now: mine.now.signal},
        goneOn,
        orGoneOn: work => untilAborted(Promise.race([work.then(() => undefined), goneOn()]), signal),
      };
      const finish = (error: unknown): void => {
        current = null;
        waiting = null;
        ended(error);
      };
      mine.done = job(hands).then(() => finish(null), finish);
      return true;
    },
    stop,
    goOn() {
      if (!waiting) return false;
      const go = waiting;
      waiting = null;
      go();
      return true;
    },
    async finish(reason) {
      const {done} = current ?? {};
      if (!done) return;
      stop(reason);
      if (await within(PATIENCE_MS, done)) return;
      stop(reason);
      await within(LAST_PATIENCE_MS, done);
    },
  };
};
