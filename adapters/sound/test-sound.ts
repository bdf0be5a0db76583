import {setTimeout as wait} from 'node:timers/promises';
import {type CueSheet, cueNames} from '../../shared/cues.js';
import type {SoundState} from '../../shared/sound.js';
import {openSound, type SoundOptions} from './open-sound.js';

const SECONDS_BETWEEN = 1.6;

const allCues: CueSheet = {
  countdownSeconds: 4,
  cues: cueNames.map((name, index) => ({name, atSeconds: index * SECONDS_BETWEEN, sound: 'both'})),
};

/**
 * Lets every cue be heard once after a short countdown, in the sheet's usual order, and says what serves.
 * @param play false only looks, without a sound
 */
export const testSound = async (options: SoundOptions = {}, play = true): Promise<SoundState> => {
  const sound = await openSound(options);
  try {
    const stream = await sound.prepare(allCues);
    if (play) {
      stream.start();
      await wait(((allCues.countdownSeconds + cueNames.length * SECONDS_BETWEEN) * 1000) / (options.speed ?? 1));
    }
    return sound.state();
  } finally {
    await sound.close();
  }
};
