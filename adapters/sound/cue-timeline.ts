import type {CueName, CueSheet} from '../../shared/cues.js';
import type {ToneName} from './tones.js';

/** One thing to be heard. Times are seconds from "go", already compressed by the speed. */
export type Moment = {atSeconds: number; tone: ToneName | null; word: CueName | null};

/** Closer than this to a cue, the countdown's tick is left to the cue. */
const TICK_GIVES_WAY_SECONDS = 0.3;

/**
 * Everything that a countdown and its cue sheet make heard, in order: a tick at each whole second of the countdown, the
 * last three of their own kind, and the cues. A cue from before the countdown is heard at "go".
 * @param speed how many times faster than written everything goes, > 0
 */
export const cueTimeline = (sheet: CueSheet, speed: number): Moment[] => {
  const cues = sheet.cues
    .filter(cue => cue.sound !== 'none')
    .map(cue => ({
      atSeconds: Math.max(0, sheet.countdownSeconds + cue.atSeconds),
      tone: cue.sound === 'speech' ? null : cue.name,
      word: cue.sound === 'tone' ? null : cue.name,
    }));
  return [...ticks(sheet.countdownSeconds, cues), ...cues]
    .sort((one, other) => one.atSeconds - other.atSeconds)
    .map(moment => ({...moment, atSeconds: moment.atSeconds / speed}));
};

const ticks = (countdownSeconds: number, cues: Moment[]): Moment[] => {
  const moments: Moment[] = [];
  for (let left = Math.floor(countdownSeconds); left >= 1; left--) {
    const atSeconds = countdownSeconds - left;
    const taken = cues.some(cue => cue.tone && Math.abs(cue.atSeconds - atSeconds) < TICK_GIVES_WAY_SECONDS);
    if (!taken) moments.push({atSeconds, tone: left <= 3 ? 'last second' : 'second', word: null});
  }
  return moments;
};
