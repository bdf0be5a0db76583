import type {CameraStatus, FrameOnCamera} from '../../shared/camera.js';
import {parseAperture, parseIso, parseShutter} from '../../shared/exposure.js';
import {nearestOf, nominalShutters} from '../../src/light/nominal.js';
import type {Setting} from './messages.js';

/** Settings come as text, each maker's in its own way. Everything here is pure. */

const tried = (read: () => number): number | null => {
  try {
    return read();
  } catch {
    return null;
  }
};

const TENTH_MILLISECOND = 0.0001;

/** Drivers cut times to tenths of a millisecond: "0.0013s" is the dial's 1/800. */
const uncut = (seconds: number): number => {
  const marks = nominalShutters().map(nominal => nominal.marked);
  const mark = nearestOf(marks, seconds);
  return Math.abs(mark - seconds) <= TENTH_MILLISECOND / 2 + 1e-9 ? mark : seconds;
};

/** A shutter time in seconds, 'bulb', or null for what is no time ("auto"). */
export const shutterOf = (text: string): number | 'bulb' | null => {
  if (/^(bulb|time)/i.test(text.trim())) return 'bulb';
  // "1 3/10" is one second and three tenths.
  const mixed = /^(\d+)\s+(\d+)\/(\d+)/.exec(text.trim());
  if (mixed !== null) return Number(mixed[1]) + Number(mixed[2]) / Number(mixed[3]);
  const seconds = tried(() => parseShutter(text));
  return seconds !== null && /^\d+\.\d{4}s$/.test(text.trim()) ? uncut(seconds) : seconds;
};

export const apertureOf = (text: string): number | null => tried(() => parseAperture(text));

export const isoOf = (text: string): number | null => tried(() => parseIso(text));

/** "87%" → 87. */
export const percentOf = (text: string): number | null => {
  const match = /^(\d{1,3})\s*%?$/.exec(text.trim());
  const percent = match === null ? Number.NaN : Number(match[1]);
  return percent <= 100 ? percent : null;
};

const rawWord = /\b[cms]?raw\b|nef|\bdng\b/i;
const jpegWord = /jpe?g|fine|normal|basic|standard|\bstd\b|light|economy/i;

/** Which files the camera makes, from the words of its own menu. */
export const formatOf = (text: string): CameraStatus['format'] => {
  if (/unknown|^\s*$/i.test(text)) return 'unknown';
  const raw = rawWord.test(text);
  const jpeg = jpegWord.test(text);
  if (raw && jpeg) return 'raw+jpeg';
  if (raw) return 'raw';
  if (/heif|tiff/i.test(text)) return 'other';
  return jpeg ? 'jpeg' : 'other';
};

export const focusModeOf = (text: string): CameraStatus['focusMode'] => {
  if (/^(manual|mf|off$)/i.test(text.trim())) return 'manual';
  if (/^(af|auto|c-af|s-af|one shot|ai |single|continuous|dmf|on$)/i.test(text.trim())) return 'auto';
  return 'unknown';
};

const rawEndings = new Set('raw dng nef nrw cr2 cr3 crw arw sr2 srf raf orf rw2 pef srw 3fr iiq x3f rwl'.split(' '));

/** What a file on the card is, by its name's ending and, failing that, by the kind that the camera gives. */
export const frameKindOf = (name: string, mime: string): FrameOnCamera['kind'] => {
  const ending = (/\.([^./\\]{1,8})$/.exec(name)?.[1] ?? '').toLowerCase();
  if (ending === 'jpg' || ending === 'jpeg' || (ending === '' && mime === 'image/jpeg')) return 'jpeg';
  if (rawEndings.has(ending) || /^image\/x-.*(raw|nef|cr2|crw|arw|raf|orf|rw2|pef|dng)/i.test(mime)) return 'raw';
  return 'other';
};

export type Stop = {value: string | number; is: number};

const NEAR_STOPS = 1 / 6 + 0.01;

/**
 * The offered value nearest to what is wanted.
 * @param stopsPer how many stops lie in a doubling of the number: 1 for times and ISO, 2 for f-numbers
 * @returns the choice, and whether it counts as the same (within a sixth of a stop: half a third-stop step)
 */
export const nearest = (
  offered: readonly Stop[],
  wanted: number,
  stopsPer: number,
): {stop: Stop; near: boolean} | null => {
  const distance = (stop: Stop): number => Math.abs(Math.log2(stop.is / wanted)) * stopsPer;
  const best = [...offered].sort((a, b) => distance(a) - distance(b))[0];
  return best === undefined ? null : {stop: best, near: distance(best) <= NEAR_STOPS};
};

/** What a setting can be set to, as numbers. A range offers the wanted value itself, on its own steps. */
export const stopsOf = (setting: Setting, read: (text: string) => number | 'bulb' | null, wanted: number): Stop[] => {
  if (setting.range !== null) {
    const {low, high, step} = setting.range;
    const onStep = step > 0 ? low + Math.round((wanted - low) / step) * step : wanted;
    const value = Math.min(high, Math.max(low, onStep));
    return [{value, is: value}];
  }
  return setting.choices.flatMap(text => {
    const is = read(text);
    return typeof is === 'number' ? [{value: text, is}] : [];
  });
};

/** The number that a setting stands at. */
export const numberOf = (setting: Setting, read: (text: string) => number | 'bulb' | null): number | 'bulb' | null => {
  if (typeof setting.value === 'number') return setting.value;
  return setting.value === null ? null : read(setting.value);
};
