/** How often the loop is looked at while somebody may be holding a key. */
const LOOK_MS = 50;
/** A turn of the loop that took longer counts no more than this. */
const LONGEST_TURN_MS = 2 * LOOK_MS;
/** Longer than any time between two presses that means something. */
const WATCH_MS = 1000;

/**
 * A clock that stands still while the program was held up: keys that waited then arrive in one heap, and the time before
 * them says nothing about how far apart they were pressed.
 */
export type TurningClock = {
  /** Milliseconds in which a key would have been heard at once. */
  now(): number;
  /** To be called at each press: from now on for a while it is watched whether the program is held up. */
  pressed(): void;
  stop(): void;
};

/** @param real monotonic milliseconds */
export const createTurningClock = (real: () => number): TurningClock => {
  let turned = 0;
  let seenMs = real();
  let watchedUntilMs = seenMs;
  let timer: NodeJS.Timeout | null = null;

  const look = (): void => {
    const at = real();
    turned += timer ? Math.min(at - seenMs, LONGEST_TURN_MS) : at - seenMs;
    seenMs = at;
  };
  const stop = (): void => {
    if (timer) clearInterval(timer);
    timer = null;
  };
  const watch = (): void => {
    look();
    if (turned >= watchedUntilMs) stop();
  };
  return {
    now: () => {
      look();
      return turned;
    },
    pressed: () => {
      look();
      watchedUntilMs = turned + WATCH_MS;
      timer ??= setInterval(watch, LOOK_MS);
    },
    stop,
  };
};
