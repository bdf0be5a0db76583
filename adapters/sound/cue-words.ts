import type {CueName, CueSheet} from '../../shared/cues.js';
import {STREAM_RATE} from './player.js';
import type {Synthesiser} from './synthesiser.js';
import {resample} from './wav.js';

/** Quick enough for "hold still" between its tone and the flash one second later. */
const BRISK_WORDS_PER_MINUTE = 195;

/** The words of the cues as samples, spoken once and kept. */
export const createCueWords = () => {
  const words = new Map<CueName, Float32Array>();
  return {
    /** What has been spoken so far. */
    voices: words as ReadonlyMap<CueName, Float32Array>,
    /** Has the sheet's words spoken that are still missing. */
    speak: async (synthesiser: Synthesiser | null, sheet: CueSheet, signal: AbortSignal): Promise<void> => {
      for (const {name, sound} of sheet.cues) {
        if (!synthesiser || signal.aborted) return;
        if (sound === 'tone' || sound === 'none' || words.has(name)) continue;
        const recording = await synthesiser.speak(name, signal, BRISK_WORDS_PER_MINUTE);
        if (recording) words.set(name, resample(recording, STREAM_RATE));
      }
    },
  };
};
