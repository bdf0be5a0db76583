import type {Key} from './keys.js';

/*
 * A key that is held down sends the same bytes again: first after a quarter to two thirds of a second, then some thirty
 * times a second. A worn button of a clicker sends two presses within some hundredths. Both mean one "go on".
 */

/** Presses closer together than this are a bounce or a held key. */
const QUIET_MS = 150;
/** Once a key was seen to repeat, a gap shorter than this is a stumble of the machine, not a finger. */
const HELD_QUIET_MS = 500;
/** Longer than the usual wait before a held key repeats (660 ms is the longest common default). */
const AGAIN_MS = 750;

/**
 * Lets a "go on" through once for each time that the key goes down.
 * @param now monotonic milliseconds
 */
export const createKeyGate = (now: () => number): {lets(key: Key): boolean} => {
  let lastMs = Number.NEGATIVE_INFINITY;
  let letMs = Number.NEGATIVE_INFINITY;
  let released = false;
  let repeats = 0;
  return {
    lets: key => {
      const at = now();
      if (key.event === 'release') {
        released = true;
        repeats = 0;
        return false;
      }
      const quiet = at - lastMs >= (repeats > 1 ? HELD_QUIET_MS : QUIET_MS);
      repeats = quiet ? 0 : repeats + 1;
      lastMs = at;
      if (key.event === 'repeat' || !quiet) return false;
      if (!released && at - letMs < AGAIN_MS) return false;
      letMs = at;
      released = false;
      return true;
    },
  };
};
