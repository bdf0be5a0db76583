import type {Attempt} from './state.js';

/** What a camera may take to write its files after the exposure. */
const WRITING_MS = 5000;

/**
 * For how long yet the exposure of an attempt whose program or connection is gone may go on by itself on the camera, and
 * its files be written; 0 once that is over. A camera may take a dark frame of its own, as long again as the exposure.
 * @param nowMs wall-clock time, epoch milliseconds
 * @param speed how many times faster than the wall clock the shoot's runs
 * @returns milliseconds of the shoot's clock; never more than the whole takes, whatever the wall clock has done since
 */
export const exposingForMs = (
  {at, openedAt, exposure, cues}: Pick<Attempt, 'at' | 'openedAt' | 'exposure' | 'cues'>,
  nowMs: number,
  speed: number,
): number => {
  const shutterMs = exposure.shutterSeconds * 1000;
  const wholeMs = (openedAt ? 0 : cues.countdownSeconds * 1000) + 2 * shutterMs + WRITING_MS;
  const goneMs = (nowMs - Date.parse(openedAt ?? at)) * speed;
  return Number.isFinite(goneMs) ? Math.min(wholeMs, Math.max(0, wholeMs - goneMs)) : wholeMs;
};
