import type {Moment} from './cue-timeline.js';

/** A bell that is this late is still worth ringing. */
const STILL_ON_TIME_MS = 50;

/**
 * Rings at each moment that is still to come: what serves where no device plays.
 * @param sinceStartMs how long ago "go" was
 * @returns a function that ends the ringing
 */
export const ringBells = (timeline: Moment[], sinceStartMs: number, ring: () => void): (() => void) => {
  const timers = timeline
    .map(moment => moment.atSeconds * 1000 - sinceStartMs)
    .filter(waitMs => waitMs >= -STILL_ON_TIME_MS)
    .map(waitMs => setTimeout(ring, waitMs));
  return () => {
    for (const timer of timers) clearTimeout(timer);
  };
};
