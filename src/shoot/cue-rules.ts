import type {CueSheet} from '../../shared/cues.js';
import {LEAST_SECONDS_BETWEEN_POPS} from '../light/flash-care.js';

/** Why a cue sheet is refused, in one sentence; null when it isn't. */
export const cueTrouble = (sheet: CueSheet): string | null => {
  const early = sheet.cues.find(cue => cue.atSeconds < -sheet.countdownSeconds - 1e-6);
  if (early) {
    return `The cue "${early.name}" comes before the countdown begins; lengthen the countdown or move the cue.`;
  }
  const pops = sheet.cues
    .filter(cue => cue.name === 'flash')
    .map(cue => cue.atSeconds)
    .sort((one, other) => one - other);
  const tooNear = pops.some((at, index) => index > 0 && at - pops[index - 1]! < LEAST_SECONDS_BETWEEN_POPS - 1e-6);
  return tooNear
    ? 'Flash cues are nearer than a third of a second; more than three flashes a second can harm people who are sensitive to them.'
    : null;
};

/** Whether a flash is called while the shutter is closed. */
export const flashOutsideExposure = (sheet: CueSheet, shutterSeconds: number): boolean =>
  sheet.cues.some(cue => cue.name === 'flash' && (cue.atSeconds < 0 || cue.atSeconds > shutterSeconds));
