import {z} from 'zod';

/** What the camera is set to. Times in seconds, the f-number as N of f/N, ISO as the arithmetic speed. */
export const exposureSchema = z.object({
  shutterSeconds: z.number().positive().max(86_400),
  fNumber: z.number().min(0.5).max(128),
  iso: z.number().min(1).max(10_000_000),
});

export type Exposure = z.infer<typeof exposureSchema>;

/** A setting that can't be read as what it should be. The message is one sentence for a person. */
export class SettingFault extends Error {
  override name = 'SettingFault';
}

const decimal = '\\d{1,7}(?:[.,]\\d{1,6})?';
const shutterPattern = new RegExp(`^(?:(${decimal})\\s*/\\s*(${decimal})|(${decimal}))\\s*(?:s|sec|"|″)?$`, 'i');
const aperturePattern = new RegExp(`^(?:f\\s*/?\\s*)?(${decimal})$`, 'i');
const isoPattern = /^(?:iso\s*)?(\d{1,8})$/i;

const toNumber = (text: string): number => Number(text.replace(',', '.'));

/** Control characters, line separators and marks of direction. */
const unprintable = /[\u0000-\u001f\u007f-\u009f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff]/g;

/** Quotes what a person typed, cut short and without anything a terminal acts on, so that it can be shown again. */
export const quote = (text: string): string => {
  const plain = (text.length > 40 ? `${text.slice(0, 40)}…` : text).replace(unprintable, '·');
  return `"${plain.toWellFormed()}"`;
};

/**
 * Reads a shutter time: "1/125", "8s", "8", "0.5 s", "1/2.5".
 * @returns seconds, > 0
 * @throws SettingFault
 */
export const parseShutter = (text: string): number => {
  const match = shutterPattern.exec(text.trim());
  const seconds = match ? (match[3] ? toNumber(match[3]) : toNumber(match[1]!) / toNumber(match[2]!)) : Number.NaN;
  if (!Number.isFinite(seconds) || seconds <= 0 || seconds > 86_400) {
    throw new SettingFault(`${quote(text)} is not a shutter time; write it like 8s, 0.5s or 1/125.`);
  }
  return seconds;
};

/**
 * Reads an aperture: "f/8", "F8", "8", "f/5.6".
 * @returns the f-number, 0.5 to 128
 * @throws SettingFault
 */
export const parseAperture = (text: string): number => {
  const match = aperturePattern.exec(text.trim());
  const fNumber = match ? toNumber(match[1]!) : Number.NaN;
  if (!(fNumber >= 0.5 && fNumber <= 128)) {
    throw new SettingFault(`${quote(text)} is not an aperture; write it like f/8 (from f/0.5 to f/128).`);
  }
  return fNumber;
};

/**
 * Reads a sensitivity: "ISO 100", "100".
 * @returns ISO arithmetic speed, 1 to 10,000,000
 * @throws SettingFault
 */
export const parseIso = (text: string): number => {
  const match = isoPattern.exec(text.trim());
  const iso = match ? Number(match[1]) : Number.NaN;
  if (!(iso >= 1 && iso <= 10_000_000)) {
    throw new SettingFault(`${quote(text)} is not a sensitivity; write it like ISO 100.`);
  }
  return iso;
};

const short = (value: number, digits: number): string => String(Number(value.toPrecision(digits)));

/** "8s", "0.5s", "1/125": times under 0.3 s as a fraction, as the dials print them. */
export const printShutter = (seconds: number): string => {
  const reciprocal = 1 / seconds;
  if (seconds < 0.3) return `1/${short(reciprocal, reciprocal >= 10 ? 4 : 2)}`;
  return `${short(seconds, 4)}s`;
};

/** "f/8", "f/5.6". */
export const printAperture = (fNumber: number): string => `f/${short(fNumber, fNumber >= 10 ? 3 : 2)}`;

/** "ISO 100". */
export const printIso = (iso: number): string => `ISO ${Math.round(iso)}`;

/** "8s f/8 ISO 100". */
export const printExposure = (exposure: Exposure): string =>
  `${printShutter(exposure.shutterSeconds)} ${printAperture(exposure.fNumber)} ${printIso(exposure.iso)}`;
