import type {Moment} from './cue-timeline.js';

/**
 * Rings at each moment that is still to come: what serves where no device plays.
 * @param sinceStartMs how long ago "go" was
 * @returns a function that ends the ringing
 */
export const ringBells = (timeline: Moment[], sinceStartMs: number, ring: () => void): (() => void) => {
  const timers = timeline
    .map(moment => moment.atSeconds * 1000 - sinceStartMs)
    .filter(waitMs => waitMs >= 0)
    .map(waitMs => setTimeout(ring, waitMs));
  return () => {
    for (const timer of timers) clearTimeout(timer);
  };
};
