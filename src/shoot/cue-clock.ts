import {uptime} from 'node:os';
import {performance} from 'node:perf_hooks';
import type {Clock} from '../../shared/clock.js';

/** The longest a timer may be set for; longer waits are made of several. */
const LONGEST_TIMER_MS = 60_000;

/** A monotonic clock: it neither jumps with the wall clock nor runs while the machine sleeps (Linux, macOS). */
export const systemClock = (): Clock => clockOf(() => performance.now(), 1);

/**
 * A clock that runs `speed` times as fast as real time, for the simulated room.
 * @param speed > 0
 */
export const fastClock = (speed: number): Clock => clockOf(() => performance.now() * speed, speed);

const clockOf = (now: () => number, speed: number): Clock => ({
  now,
  until: (ms, signal) =>
    new Promise<void>((resolve, reject) => {
      let timer: NodeJS.Timeout | undefined;
      const stop = (): void => {
        clearTimeout(timer);
        reject(signal!.reason);
      };
      /** Timers may fire early or late: each wait is measured again against the clock, so lateness never adds up. */
      const wait = (): void => {
        const left = (ms - now()) / speed;
        if (left > 0) {
          timer = setTimeout(wait, Math.min(Math.ceil(left), LONGEST_TIMER_MS));
          return;
        }
        signal?.removeEventListener('abort', stop);
        resolve();
      };
      if (signal?.aborted) {
        reject(signal.reason);
        return;
      }
      signal?.addEventListener('abort', stop, {once: true});
      wait();
    }),
});

/** Milliseconds for which the machine has slept since some moment; only differences mean something. */
export type AsleepMs = () => number;

/**
 * Time since boot goes on in sleep while the monotonic clock stands still (Linux, macOS), so what they drift apart is
 * sleep. The wall clock is not asked: it may be set at any time.
 */
export const systemAsleepMs: AsleepMs = () => uptime() * 1000 - performance.now();

/** The machine slept, or the program was held up, through a time in which cues had to be on time. */
export class SleptFault extends Error {
  override name = 'SleptFault';
}

/** Shorter differences are the rounding of the system's counters, or a busy machine. */
const SLEEP_COUNTS_MS = 2000;
/** How often a wait looks whether the machine slept, real milliseconds. */
const LOOK_MS = 500;

export type Timekeeper = {
  clock: Clock;
  /** How many times faster than real time the clock runs. */
  speed: number;
  asleepMs: AsleepMs;
};

/**
 * Waits until this moment of the clock and makes sure that the machine was awake all the while: otherwise the countdown
 * that was heard is not the one that happened.
 * @param awakeSince asleepMs when the countdown began
 * @throws SleptFault, or the signal's reason
 */
export const waitAwake = async (
  {clock, speed, asleepMs}: Timekeeper,
  untilMs: number,
  awakeSince: number,
  signal?: AbortSignal,
): Promise<void> => {
  for (;;) {
    const wake = Math.min(untilMs, clock.now() + LOOK_MS * speed);
    await clock.until(wake, signal);
    const sleptMs = asleepMs() - awakeSince;
    const lateMs = (clock.now() - wake) / speed;
    const lostMs = Math.max(sleptMs, lateMs);
    if (lostMs > SLEEP_COUNTS_MS) {
      throw new SleptFault(
        `The computer slept or was held up for ${Math.round(lostMs / 1000)} s, so the cues were no longer true.`,
      );
    }
    if (wake >= untilMs) return;
  }
};
