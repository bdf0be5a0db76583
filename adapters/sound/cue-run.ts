import {ringBells} from './bells.js';
import type {Moment} from './cue-timeline.js';
import type {ArmedStream} from './player.js';

/** A countdown that is being heard. */
export type CueRun = {startedAtMs: number; stop(): void};

/**
 * Begins a prepared stream at once. Where there is none, or the player ends before it should, the bell takes over for
 * what is still to come.
 */
export const beginCueRun = (
  stream: ArmedStream | null,
  timeline: Moment[],
  {now, ring, onLost}: {now(): number; ring(): void; onLost(): void},
): CueRun => {
  const startedAtMs = now();
  let stopped = false;
  let endBells = (): void => {};
  const turnToBells = (): void => {
    if (!stopped) endBells = ringBells(timeline, now() - startedAtMs, ring);
  };

  if (stream) {
    stream.begin();
    void stream.ended.then(end => {
      if (end !== 'failed') return;
      onLost();
      turnToBells();
    });
  } else {
    turnToBells();
  }
  return {
    startedAtMs,
    stop: () => {
      stopped = true;
      stream?.stop();
      endBells();
    },
  };
};
